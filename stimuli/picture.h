#pragma once
// A field with its lights: what a presenter is asked to draw, and the reference drawing on the CPU that the
// shader is held to.
//
//     FieldPicture picture(layout, 10, tone);
//     picture.first = region_light(reference, display, 10);
//     picture.second = region_light(adjusted, display, 10);
//     const CodeImage image = draw_reference(picture);

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "calibration/display_model.h"
#include "stimuli/dither.h"
#include "stimuli/drive_solution.h"
#include "stimuli/field.h"
#include "stimuli/field_mask.h"
#include "stimuli/tone_table.h"

namespace isoseam {

// The light of one region on a three-primary screen.
struct RegionLight {
    std::array<double, 3> linear{};       // exact fractions, within [0, 1]
    std::array<std::uint16_t, 3> code{};  // nearest codes at the frame buffer's depth
    friend bool operator==(const RegionLight&, const RegionLight&) = default;
};
// The light of a region for a drive. It must be in gamut, and the screen must have three primaries (both
// checked).
RegionLight region_light(const LinearDrive& linear, const DisplayModel& display, int bits);

// Without dither a pixel inside a region has the region's code exactly; with dither it has one of the two
// codes around the region's linear fractions. On edges the linear fractions are mixed by the shares, and put
// between the codes of the source of the region with the largest share; without dither the code nearer in
// light is taken.
struct FieldPicture {
    // All is dark and without dither, and `tone` is the table of every source, until the members say
    // otherwise. Whoever gives a table keeps it for as long as the picture lives.
    FieldPicture(FieldLayout of_layout, int of_bits, const ToneTable& tone);

    FieldLayout layout;
    int bits;  // of each channel of the frame buffer: 8 or 10
    RegionLight first{};
    RegionLight second{};
    RegionLight surround{};
    RegionLight fixation{};
    RegionLight ring{};  // where the geometry has a ring
    // The side of the ring beside the second half, where it has a light of its own; `ring` is then the side
    // beside the first half. Only a field in halves may have it. The ring is divided where the two lights
    // differ; otherwise the picture is that of a ring in one piece.
    std::optional<RegionLight> ring_second{};
    // The tables of the sources that light the two halves and the surround. Ring and fixation mark belong to
    // the surround's source. All are equal on one screen with one calibration, and different where a filter
    // covers one half.
    std::reference_wrapper<const ToneTable> tone_first;
    std::reference_wrapper<const ToneTable> tone_second;
    std::reference_wrapper<const ToneTable> tone_surround;
    int odd_quadrant = 0;  // the quadrant that has the light `second`, 0 to 3, in a field of quadrants
    Dither dither{};
    // The mark of a spot is lit like what lies around it: the spot, or the hole of an annulus.
    bool mark_hidden = false;
};
// The picture's layout, with its ring divided where the lights of the ring differ.
FieldLayout drawn_layout(const FieldPicture& picture);

// The codes of each pixel, with row 0 on top and the three channels interleaved.
struct CodeImage {
    int width = 0;
    int height = 0;
    int bits = 8;
    std::vector<std::uint16_t> codes;
    std::uint16_t at(int column, int row, int channel) const {
        return codes[(static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
                      static_cast<std::size_t>(column)) *
                         3 +
                     static_cast<std::size_t>(channel)];
    }
};

// Throws std::logic_error where a picture breaks what is written above; all that draw it check it first.
void check_picture(const FieldPicture& picture);

// What the shader and the reference drawing take from a picture besides its mask: of each FieldRegion, in
// three channels, the light in light_units, the level of its own pixels, and the table for pixels that it has
// most of.
struct DrawnRegion {
    std::array<std::uint64_t, 3> light{};
    std::array<ToneLevel, 3> level{};
    const ToneTable* tone = nullptr;
    friend bool operator==(const DrawnRegion&, const DrawnRegion&) = default;
};
std::array<DrawnRegion, kRegionCount> drawn_regions(const FieldPicture& picture);  // a checked one

CodeImage draw_reference(const FieldPicture& picture);
// The levels of the reference drawing before dither: code + share, as a number of codes.
std::vector<double> reference_levels(const FieldPicture& picture);

// The bytes of a PNG file: 8-bit images as 8 bits, 10-bit ones as 16 bits (codes scaled so that full code is
// full). MachineError when it cannot be encoded.
std::string png_bytes(const CodeImage& image);

}  // namespace isoseam
