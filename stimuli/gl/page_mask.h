#pragma once
// A page of text set into a mask of ink, on the CPU.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stimuli/gl/presenter.h"

namespace isoseam {

// How much ink is on each pixel, 0 to 255, row 0 on top.
struct PageMask {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> ink;
};

// Sets pages in DejaVu Sans. MachineError naming the package when the font is not on the machine.
class PageSetter {
  public:
    PageSetter();
    ~PageSetter();
    PageSetter(const PageSetter&) = delete;
    PageSetter& operator=(const PageSetter&) = delete;

    // InputError (key "page") when the text does not fit even in the smallest type.
    PageMask set(const Page& page, int width_px, int height_px) const;
    // Whether the page fits in type that is not smaller than the usual one, whatever its own type_size.
    bool fits(const Page& page, int width_px, int height_px) const;
    // A caption below a field: a mask of `room`'s rows alone, with the text in the middle of its upper edge,
    // half an em below it, in full ink and in the usual type or in a smaller one, down to two thirds of it.
    // There is none where it does not fit.
    struct Room {
        int width_px = 0;
        int height_px = 0;
        int screen_width_px = 0;  // what type is measured by
        int screen_height_px = 0;
    };
    std::optional<PageMask> caption(const std::string& text, const Room& room) const;

  private:
    std::string font_path_;
};

// White or black, whichever stands out more from a background of these fractions of full code.
double ink_level(const std::array<double, 3>& background);

}  // namespace isoseam
