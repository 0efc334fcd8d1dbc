#include "stimuli/gl/page_mask.h"

#include <SDL_ttf.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <optional>
#include <string_view>

#include "colorimetry/errors.h"

namespace isoseam {

namespace {

// Where Debian, Fedora and Arch put the font.
constexpr std::array<const char*, 4> kFontPlaces{
    "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf", "/usr/share/fonts/dejavu-sans-fonts/DejaVuSans.ttf",
    "/usr/share/fonts/TTF/DejaVuSans.ttf", "/usr/local/share/fonts/DejaVuSans.ttf"};

// Type, in ems of the running text.
constexpr double kHeadingSize = 1.6;
constexpr double kFootSize = 0.85;
constexpr double kLinePitch = 1.5;      // from line to line, of the line's own size
constexpr double kParagraphGap = 0.75;  // between paragraphs, on top of the line pitch
constexpr double kColumnWidth = 34.0;   // about 65 letters, which reads well
constexpr double kBarHeight = 0.5;

// Ink of the parts: a quieter foot leads the eye to the text.
constexpr int kFullInk = 255;
constexpr int kTextInk = 235;
constexpr int kFootInk = 165;

struct FontCloser {
    void operator()(TTF_Font* font) const { TTF_CloseFont(font); }
};
using Font = std::unique_ptr<TTF_Font, FontCloser>;

struct SurfaceFreer {
    void operator()(SDL_Surface* surface) const { SDL_FreeSurface(surface); }
};

Font opened(const std::string& path, double size_px) {
    Font font(TTF_OpenFont(path.c_str(), std::max(1, static_cast<int>(std::lround(size_px)))));
    if (font == nullptr)
        throw MachineError(fmt::format("{}: the font cannot be read ({})", path, TTF_GetError()),
                           "install the package fonts-dejavu-core again");
    return font;
}

int width_of(TTF_Font* font, const std::string& text) {
    int width = 0;
    ISOSEAM_CHECK(TTF_SizeUTF8(font, text.c_str(), &width, nullptr) == 0, std::string(TTF_GetError()));
    return width;
}

// Lines that fit the width, broken at blanks and where the text has line ends. Nothing when one word is too
// long.
std::optional<std::vector<std::string>> wrapped(TTF_Font* font, std::string_view text, int width_px) {
    std::vector<std::string> lines(1);
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t end = std::min(text.find_first_of(" \n", at), text.size());
        const std::string word(text.substr(at, end - at));
        const std::string longer = lines.back().empty() ? word : lines.back() + " " + word;
        if (width_of(font, longer) <= width_px) {
            lines.back() = longer;
        } else if (width_of(font, word) <= width_px) {
            lines.push_back(word);
        } else {
            return std::nullopt;
        }
        if (end < text.size() && text[end] == '\n')
            lines.emplace_back();
        at = end + 1;
    }
    return lines;
}

struct Line {
    std::string text;
    TTF_Font* font;
    double top_px;
    int ink;
};

// A page broken into lines at one size of type.
struct Setting {
    Font text_font, heading_font, foot_font;
    std::vector<Line> block;  // tops count from the block's own top
    std::vector<Line> foot;   // tops count from the foot's own top
    double block_height_px = 0.0;
    double foot_height_px = 0.0;
    int column_px = 0;
    double em_px = 0.0;
};

// Adds the text's lines below `height_px`, which it moves. False when a word is too long.
bool add_lines(std::vector<Line>& lines, double& height_px, TTF_Font* font, double size_px,
               const std::string& text, int column_px, int ink) {
    const std::optional<std::vector<std::string>> broken = wrapped(font, text, column_px);
    if (!broken)
        return false;
    for (const std::string& line : *broken) {
        lines.push_back({line, font, height_px, ink});
        height_px += kLinePitch * size_px;
    }
    return true;
}

std::optional<Setting> set_at_size(const Page& page, const std::string& font_path, double em_px, int width_px,
                                   int height_px) {
    Setting setting;
    setting.em_px = em_px;
    setting.text_font = opened(font_path, em_px);
    setting.heading_font = opened(font_path, kHeadingSize * em_px);
    setting.foot_font = opened(font_path, kFootSize * em_px);
    setting.column_px = static_cast<int>(std::min(0.84 * width_px, kColumnWidth * em_px));
    double& height = setting.block_height_px;
    bool fits = true;
    if (!page.heading.empty()) {
        fits = add_lines(setting.block, height, setting.heading_font.get(), kHeadingSize * em_px,
                         page.heading, setting.column_px, kFullInk);
        height += kParagraphGap * em_px;
    }
    for (const std::string& paragraph : page.paragraphs) {
        fits = fits && add_lines(setting.block, height, setting.text_font.get(), em_px, paragraph,
                                 setting.column_px, kTextInk);
        height += kParagraphGap * em_px;
    }
    if (!page.foot.empty()) {
        fits = fits && add_lines(setting.foot, setting.foot_height_px, setting.foot_font.get(),
                                 kFootSize * em_px, page.foot, setting.column_px, kFootInk);
    }
    // Above and below stay at least two lines free.
    if (!fits || height + setting.foot_height_px + 6.0 * em_px > height_px)
        return std::nullopt;
    return setting;
}

void put_line(PageMask& mask, const Line& line, double left_px, double top_px) {
    if (line.text.empty())
        return;
    const std::unique_ptr<SDL_Surface, SurfaceFreer> surface(
        TTF_RenderUTF8_Blended(line.font, line.text.c_str(), SDL_Color{255, 255, 255, 255}));
    ISOSEAM_CHECK(surface != nullptr && surface->format->BytesPerPixel == 4, std::string(TTF_GetError()));
    const int left = static_cast<int>(std::lround(left_px));
    const int top = static_cast<int>(std::lround(top_px));
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

// A frame as long as the column, filled from the left.
void put_bar(PageMask& mask, const Setting& setting, double left_px, double top_px, double progress) {
    const int left = static_cast<int>(std::lround(left_px));
    const int top = static_cast<int>(std::lround(top_px));
    const int right = left + setting.column_px;
    const int bottom = top + std::max(5, static_cast<int>(std::lround(kBarHeight * setting.em_px)));
    const int edge = std::max(1, static_cast<int>(std::lround(setting.em_px / 16.0)));
    put_box(mask, left, top, right, bottom, kFootInk);
    put_box(mask, left + edge, top + edge, right - edge, bottom - edge, 0);
    const double filled_px = std::min(progress, 1.0) * (setting.column_px - 4 * edge);
    put_box(mask, left + 2 * edge, top + 2 * edge, left + 2 * edge + static_cast<int>(std::lround(filled_px)),
            bottom - 2 * edge, kTextInk);
}

PageMask drawn(const Page& page, const Setting& setting, int width_px, int height_px) {
    PageMask mask{width_px, height_px, {}};
    mask.ink.resize(static_cast<std::size_t>(width_px) * static_cast<std::size_t>(height_px), 0);
    const double left = 0.5 * (width_px - setting.column_px);
    const double foot_top = height_px - 1.5 * setting.em_px - setting.foot_height_px;
    // A little above the middle looks like the middle.
    const double block_top = 0.45 * (foot_top - setting.block_height_px);
    for (const Line& line : setting.block)
        put_line(mask, line, left, block_top + line.top_px);
    for (const Line& line : setting.foot)
        put_line(mask, line, 0.5 * (width_px - width_of(line.font, line.text)), foot_top + line.top_px);
    // Low on the page: it must leave no afterimage where the field will be.
    if (page.progress >= 0.0)
        put_bar(mask, setting, left, foot_top - (1.0 + kBarHeight) * setting.em_px, page.progress);
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
    const double largest_em = std::min(height_px, width_px) / 28.0;
    for (double em = largest_em; em >= largest_em / 3.0; em *= 0.93) {
        if (const std::optional<Setting> setting = set_at_size(page, font_path_, em, width_px, height_px))
            return drawn(page, *setting, width_px, height_px);
    }
    throw InputError(Fault{"", 0, 0, "page",
                           fmt::format("the page '{}' has more text than fits on the screen", page.heading),
                           "shorten it, or make two pages of it"});
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
