#pragma once
// A page broken into lines and boxes at one size of type. All places are in pixels from the upper left corner
// of the block or the foot that they belong to.

#include <optional>
#include <string>
#include <vector>

#include "stimuli/gl/page_type.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

// Ink of the parts, of 255: a quieter foot leads the eye to the text.
inline constexpr int kFullInk = 255;
inline constexpr int kTextInk = 235;
inline constexpr int kFootInk = 165;

struct PlacedText {
    std::string text;
    const Type* type = nullptr;
    double left_px = 0.0;
    double top_px = 0.0;
    int ink = kTextInk;
};

// A box with round corners, drawn as an outline or filled.
struct PlacedBox {
    double left_px = 0.0;
    double top_px = 0.0;
    double width_px = 0.0;
    double height_px = 0.0;
    double radius_px = 0.0;
    double line_px = 0.0;  // width of the outline; at 0 the box is filled
    int ink = kTextInk;
};

struct PlacedPicture {
    const InkPicture* picture = nullptr;
    double left_px = 0.0;
    double top_px = 0.0;
};

struct PagePart {
    std::vector<PlacedText> texts;
    std::vector<PlacedBox> boxes;
    std::vector<PlacedPicture> pictures;
    double height_px = 0.0;
};

// What every part is set with.
struct PageType {
    PageType(const std::string& font_path, double em_px);
    double em_px;
    Type text, heading, foot;
};

struct PageLayout {
    double column_px = 0.0;  // width of the block and of the foot
    PagePart block;
    PagePart foot;
};

// Lays out the page. No value when it does not fit. `page` and `type` must outlive the layout.
std::optional<PageLayout> laid_out(const Page& page, const PageType& type, int width_px, int height_px);

// Lines of plain text, each in the middle of this width. No value when a word is too long. `type` must
// outlive the part.
std::optional<PagePart> centred_text(const std::string& text, const Type& type, double width_px);

}  // namespace isoseam
