#include "stimuli/gl/page_mask.h"

#include <SDL_ttf.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <optional>

#include "base/errors.h"
#include "stimuli/gl/page_layout.h"

namespace isoseam {

namespace {

// Where Debian, Fedora and Arch put the font.
constexpr std::array<const char*, 4> kFontPlaces{
    "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf", "/usr/share/fonts/dejavu-sans-fonts/DejaVuSans.ttf",
    "/usr/share/fonts/TTF/DejaVuSans.ttf", "/usr/local/share/fonts/DejaVuSans.ttf"};

// How many ems of the usual type the shorter side of the screen has.
constexpr double kEmsPerScreen = 28.0;
// These are in ems of the running text.
constexpr double kBarHeight = 0.5;

struct SurfaceFreer {
    void operator()(SDL_Surface* surface) const { SDL_FreeSurface(surface); }
};

double usual_em_px(int width_px, int height_px) {
    return std::min(height_px, width_px) / kEmsPerScreen;
}

// The part's upper left corner is at `left_px`, `top_px`, here and in what follows.
void put_text(PageMask& mask, const PlacedText& line, double left_px, double top_px) {
    if (line.text.empty())
        return;
    const std::unique_ptr<SDL_Surface, SurfaceFreer> surface(
        TTF_RenderUTF8_Blended(line.type->font(), line.text.c_str(), SDL_Color{255, 255, 255, 255}));
    ISOSEAM_CHECK(surface != nullptr && surface->format->BytesPerPixel == 4, std::string(TTF_GetError()));
    const int left = static_cast<int>(std::lround(left_px + line.left_px));
    const int top = static_cast<int>(std::lround(top_px + line.top_px));
    for (int y = std::max(0, -top); y < surface->h && top + y < mask.height; ++y) {
        const auto* pixels =
            reinterpret_cast<const std::uint32_t*>(static_cast<const std::uint8_t*>(surface->pixels) +
                                                   static_cast<std::ptrdiff_t>(y) * surface->pitch);
        for (int x = std::max(0, -left); x < surface->w && left + x < mask.width; ++x) {
            const auto coverage =
                static_cast<int>((pixels[x] & surface->format->Amask) >> surface->format->Ashift);
            auto& ink = mask.ink[static_cast<std::size_t>(top + y) * static_cast<std::size_t>(mask.width) +
                                 static_cast<std::size_t>(left + x)];
            ink = std::max(ink, static_cast<std::uint8_t>(coverage * line.ink / 255));
        }
    }
}

void put_box(PageMask& mask, int left, int top, int right, int bottom, int ink) {
    for (int y = std::max(top, 0); y < std::min(bottom, mask.height); ++y) {
        for (int x = std::max(left, 0); x < std::min(right, mask.width); ++x) {
            mask.ink[static_cast<std::size_t>(y) * static_cast<std::size_t>(mask.width) +
                     static_cast<std::size_t>(x)] = static_cast<std::uint8_t>(ink);
        }
    }
}

// How far a point lies outside a rectangle with round corners; negative inside.
double outside_px(double x, double y, const PlacedBox& box) {
    const double along = std::abs(x - 0.5 * box.width_px) - 0.5 * box.width_px + box.radius_px;
    const double down = std::abs(y - 0.5 * box.height_px) - 0.5 * box.height_px + box.radius_px;
    return std::hypot(std::max(along, 0.0), std::max(down, 0.0)) + std::min(std::max(along, down), 0.0) -
           box.radius_px;
}

// A line is at least a pixel wide, and its edges are smoothed over a pixel.
void put_shape(PageMask& mask, const PlacedBox& box, double left_px, double top_px) {
    const double left = left_px + box.left_px;
    const double top = top_px + box.top_px;
    const double line_px = std::max(1.0, box.line_px);
    const auto first = [](double from) { return std::max(0, static_cast<int>(std::floor(from)) - 1); };
    const auto last = [](double to, int end) { return std::min(end, static_cast<int>(std::ceil(to)) + 1); };
    for (int y = first(top); y < last(top + box.height_px, mask.height); ++y) {
        for (int x = first(left); x < last(left + box.width_px, mask.width); ++x) {
            const double outside = outside_px(x + 0.5 - left, y + 0.5 - top, box);
            double coverage = std::clamp(0.5 - outside, 0.0, 1.0);
            if (box.line_px > 0.0)
                coverage -= std::clamp(0.5 - outside - line_px, 0.0, 1.0);
            auto& ink = mask.ink[static_cast<std::size_t>(y) * static_cast<std::size_t>(mask.width) +
                                 static_cast<std::size_t>(x)];
            ink = std::max(ink, static_cast<std::uint8_t>(std::lround(coverage * box.ink)));
        }
    }
}

void put_picture(PageMask& mask, const PlacedPicture& placed, double left_px, double top_px) {
    const InkPicture& picture = *placed.picture;
    const int left = static_cast<int>(std::lround(left_px + placed.left_px));
    const int top = static_cast<int>(std::lround(top_px + placed.top_px));
    for (int y = std::max(0, -top); y < picture.height_px && top + y < mask.height; ++y) {
        for (int x = std::max(0, -left); x < picture.width_px && left + x < mask.width; ++x) {
            auto& ink = mask.ink[static_cast<std::size_t>(top + y) * static_cast<std::size_t>(mask.width) +
                                 static_cast<std::size_t>(left + x)];
            ink = std::max(
                ink, picture.ink[static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width_px) +
                                 static_cast<std::size_t>(x)]);
        }
    }
}

void put_part(PageMask& mask, const PagePart& part, double left_px, double top_px) {
    for (const PlacedPicture& picture : part.pictures)
        put_picture(mask, picture, left_px, top_px);
    for (const PlacedBox& box : part.boxes)
        put_shape(mask, box, left_px, top_px);
    for (const PlacedText& text : part.texts)
        put_text(mask, text, left_px, top_px);
}

// Draws a bar: a frame as long as the column, filled from the left.
void put_bar(PageMask& mask, double column_px, double em_px, double left_px, double top_px, double progress) {
    const int left = static_cast<int>(std::lround(left_px));
    const int top = static_cast<int>(std::lround(top_px));
    const int right = left + static_cast<int>(column_px);
    const int bottom = top + std::max(5, static_cast<int>(std::lround(kBarHeight * em_px)));
    const int edge = std::max(1, static_cast<int>(std::lround(em_px / 16.0)));
    put_box(mask, left, top, right, bottom, kFootInk);
    put_box(mask, left + edge, top + edge, right - edge, bottom - edge, 0);
    const double filled_px = std::min(progress, 1.0) * (static_cast<int>(column_px) - 4 * edge);
    put_box(mask, left + 2 * edge, top + 2 * edge, left + 2 * edge + static_cast<int>(std::lround(filled_px)),
            bottom - 2 * edge, kTextInk);
}

PageMask drawn(const Page& page, const PageLayout& layout, double em_px, int width_px, int height_px) {
    PageMask mask{width_px, height_px, {}};
    mask.ink.resize(static_cast<std::size_t>(width_px) * static_cast<std::size_t>(height_px), 0);
    const double left = 0.5 * (width_px - layout.column_px);
    const double foot_top = height_px - 1.5 * em_px - layout.foot.height_px;
    // A little above the middle looks like the middle.
    put_part(mask, layout.block, left, 0.45 * (foot_top - layout.block.height_px));
    put_part(mask, layout.foot, left, foot_top);
    // The bar is low on the page: it must leave no afterimage where the field will be.
    if (page.progress >= 0.0)
        put_bar(mask, layout.column_px, em_px, left, foot_top - (1.0 + kBarHeight) * em_px, page.progress);
    if (page.mirrored) {
        for (int y = 0; y < height_px; ++y) {
            const auto row = mask.ink.begin() + static_cast<std::ptrdiff_t>(y) * width_px;
            std::reverse(row, row + width_px);
        }
    }
    return mask;
}

}  // namespace

PageSetter::PageSetter() {
    const auto* const found = std::find_if(kFontPlaces.begin(), kFontPlaces.end(),
                                           [](const char* place) { return std::filesystem::exists(place); });
    if (found == kFontPlaces.end())
        throw MachineError(
            fmt::format("no font: DejaVu Sans is not on this machine (looked for {})", kFontPlaces[0]),
            "install the package fonts-dejavu-core");
    font_path_ = *found;
    if (TTF_Init() != 0)
        throw MachineError(fmt::format("text cannot be drawn: {}", TTF_GetError()),
                           "reinstall the package libsdl2-ttf-2.0-0");
}

PageSetter::~PageSetter() {
    TTF_Quit();
}

PageMask PageSetter::set(const Page& page, int width_px, int height_px) const {
    ISOSEAM_CHECK_GE(page.type_size, 1.0);
    const double usual_em = usual_em_px(width_px, height_px);
    for (double em = page.type_size * usual_em; em >= usual_em / 3.0; em *= 0.93) {
        const PageType type(font_path_, em);
        if (const std::optional<PageLayout> layout = laid_out(page, type, width_px, height_px))
            return drawn(page, *layout, em, width_px, height_px);
    }
    throw InputError("page", fmt::format("the page '{}' has more text than fits on the screen", page.heading),
                     "shorten it, or make two pages of it");
}

bool PageSetter::fits(const Page& page, int width_px, int height_px) const {
    const PageType type(font_path_, usual_em_px(width_px, height_px));
    return laid_out(page, type, width_px, height_px).has_value();
}

std::optional<PageMask> PageSetter::caption(const std::string& text, const Room& room) const {
    constexpr double kSmallest = 2.0 / 3.0;
    constexpr double kWidth = 0.9;  // of the room's
    constexpr double kGap = 0.5;    // in ems, above the text and below it
    const double usual_em = usual_em_px(room.screen_width_px, room.screen_height_px);
    for (double em = usual_em; em >= kSmallest * usual_em; em *= 0.93) {
        const PageType type(font_path_, em);
        const double width_px = kWidth * room.width_px;
        const std::optional<PagePart> part = centred_text(text, type.text, width_px);
        if (!part || part->height_px + 2.0 * kGap * em > room.height_px)
            continue;
        PageMask mask{room.width_px, room.height_px, {}};
        mask.ink.resize(static_cast<std::size_t>(mask.width) * static_cast<std::size_t>(mask.height), 0);
        put_part(mask, *part, 0.5 * (room.width_px - width_px), kGap * em);
        return mask;
    }
    return std::nullopt;
}

double ink_level(const std::array<double, 3>& background) {
    // Relative luminance of a common screen (weights of ITU-R BT.709, exponent 2.2); the ratio of luminances
    // with 5 % veiling light decides.
    const auto luminance = [](double code) { return std::pow(code, 2.2); };
    const double under = 0.2126 * luminance(background[0]) + 0.7152 * luminance(background[1]) +
                         0.0722 * luminance(background[2]);
    constexpr double kVeil = 0.05;
    return (1.0 + kVeil) / (under + kVeil) > (under + kVeil) / kVeil ? 1.0 : 0.0;
}

}  // namespace isoseam
