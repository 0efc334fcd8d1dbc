#pragma once
// A field drawn by the graphics card: draw_reference() of stimuli/picture.h, bit for bit.

#include <GL/glew.h>

#include <array>
#include <optional>
#include <vector>

#include "stimuli/gl/gl_program.h"
#include "stimuli/gl/number_row.h"
#include "stimuli/picture.h"

namespace isoseam {

// It is made and destroyed while its context is current.
class FieldDrawing {
  public:
    FieldDrawing();
    FieldDrawing(const FieldDrawing&) = delete;
    FieldDrawing& operator=(const FieldDrawing&) = delete;

    // Draws into the current viewport, which has the layout's size. Only what changed since the last picture
    // is sent to the card. A new layout takes longer, some 50 ns for each pixel of its field, since its mask
    // is made anew.
    void draw(const FieldPicture& picture);
    // Draws what reference_levels() gives, into a frame buffer of floats.
    void draw_levels(const FieldPicture& picture);

  private:
    // Where the shader keeps what changes from picture to picture.
    struct Places {
        explicit Places(const GlProgram& program);
        GLint level_code, level_share, light_high, light_middle, light_low, table_of, full_code,
            puts_out_levels, dither, dither_seed, dither_channel, dither_shift_x, dither_shift_y;
    };
    using Lights = std::array<std::array<ToneTable::LightOfCode, 3>, 3>;

    void draw(const FieldPicture& picture, bool levels);
    void set_layout(const FieldLayout& layout);
    void set_lights(const FieldPicture& picture);
    void set_regions(const FieldPicture& picture);
    void set_dither(const Dither& dither);

    GlProgram program_;
    Places places_;
    NumberRow cells_;
    NumberRow edges_;
    NumberRow lights_;
    NumberRow ranks_;
    // What the card holds.
    std::optional<FieldLayout> layout_;
    std::optional<Lights> shown_lights_;
    std::optional<std::array<DrawnRegion, kRegionCount>> regions_;
    std::array<GLint, kRegionCount> table_of_{};
    std::optional<Dither> dither_;
    std::optional<bool> puts_out_levels_;
};

}  // namespace isoseam
