#pragma once
// A line of words below a field that the graphics card has drawn.

#include <GL/glew.h>

#include <optional>
#include <string>

#include "stimuli/gl/gl_program.h"
#include "stimuli/gl/page_mask.h"
#include "stimuli/picture.h"

namespace isoseam {

// It is made and destroyed while its context is current.
class CaptionDrawing {
  public:
    CaptionDrawing();
    ~CaptionDrawing();
    CaptionDrawing(const CaptionDrawing&) = delete;
    CaptionDrawing& operator=(const CaptionDrawing&) = delete;

    // Draws over the picture that stands in the current viewport, which has its layout's size. Only rows that
    // are wholly below the field with its ring are touched, and of these only pixels with ink. The ink is
    // black on a light surround; on a dark one it is a grey dim enough to leave the eye to the field. Returns
    // whether there was room; where there is none, nothing is drawn. The mask is made anew only when the
    // words or the layout change.
    bool draw(const std::string& words, const FieldPicture& picture, const PageSetter& setter);

  private:
    // Where the mask lies on the screen.
    struct Band {
        int left_px = 0;
        int top_px = 0;
        int width_px = 0;
        int height_px = 0;
    };
    static Band band_below(const FieldLayout& layout);
    void set(const std::string& words, const FieldLayout& layout, const PageSetter& setter);

    GlProgram program_;
    GLuint mask_texture_ = 0;
    // What the card holds.
    std::optional<std::string> words_;
    std::optional<FieldLayout> layout_;
    bool fits_ = false;
    Band band_;
};

}  // namespace isoseam
