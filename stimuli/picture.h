#pragma once
// A field with its lights: what a presenter is asked to draw, and the reference drawing on the CPU that the
// shader is held to.

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "calibration/display_model.h"
#include "stimuli/drive_solution.h"
#include "stimuli/field.h"

namespace isoseam {

// The light of one region on a three-primary screen.
struct RegionLight {
    std::array<double, 3> linear{};       // exact fractions, within [0, 1]
    std::array<std::uint16_t, 3> code{};  // nearest codes at the frame buffer's depth
};
// Of a solution in gamut on a three-primary screen (both checked).
RegionLight region_light(const LinearDrive& linear, const DisplayModel& display, int bits);

// An inverse tone response per channel, as a table: drive at linear = i / (size - 1).
struct ToneTable {
    static constexpr int kSize = 4096;
    std::array<std::vector<float>, 3> drive_from_linear;
};
ToneTable tone_table(const DisplayModel& display);  // three primaries, checked

// Inside a region a pixel has the region's code exactly. On edges the linear fractions are mixed by the
// shares, then taken through the tone table of the region with the largest share, and rounded.
struct FieldPicture {
    FieldLayout layout;
    RegionLight first, second, surround, fixation;
    int bits = 8;
    // Tone tables of the two halves and of the surround (fixation uses the surround's). Equal on one screen
    // with one calibration; different where a filter covers one half.
    const ToneTable* tone_first = nullptr;
    const ToneTable* tone_second = nullptr;
    const ToneTable* tone_surround = nullptr;
};

// Codes per pixel, row 0 on top, three channels interleaved.
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

CodeImage draw_reference(const FieldPicture& picture);

// 8-bit images as 8-bit PNG, 10-bit ones as 16-bit PNG (codes scaled so that full code is full). MachineError
// when the file cannot be written.
void write_png(const CodeImage& image, const std::string& path);

}  // namespace isoseam
