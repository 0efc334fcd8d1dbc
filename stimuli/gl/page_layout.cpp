#include "stimuli/gl/page_layout.h"

#include <algorithm>
#include <string_view>

namespace isoseam {
namespace {

// These are in ems of the running text.
constexpr double kHeadingSize = 1.6;
constexpr double kFootSize = 0.85;
constexpr double kParagraphGap = 0.75;  // between paragraphs, on top of the line pitch
constexpr double kColumnWidth = 34.0;   // about 65 letters, which reads well
constexpr double kRowPitch = 1.95;      // of keys and choices
constexpr double kEntryWidth = 12.0;
constexpr double kPictureGap = 1.6;
constexpr double kMarkWidth = 1.9;  // what choices are indented by
// This is a share of the screen's width, where there is a picture.
constexpr double kPictureColumn = 0.9;
// This is a share of the line's own size.
constexpr double kLinePitch = 1.5;
constexpr double kKeyHeight = 1.45;
constexpr double kKeyPadding = 0.38;
constexpr double kKeyGap = 0.3;
constexpr double kKeyRadius = 0.25;
constexpr double kOutline = 0.075;

constexpr const char* kMark = "▶";
constexpr const char* kBetweenWays = "/";

// Lines that fit the width, broken at blanks and where the text has line ends. Nothing when one word is too
// long.
std::optional<std::vector<std::string>> wrapped(const Type& type, std::string_view text, double width_px) {
    std::vector<std::string> lines(1);
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t end = std::min(text.find_first_of(" \n", at), text.size());
        const std::string word(text.substr(at, end - at));
        const std::string longer = lines.back().empty() ? word : lines.back() + " " + word;
        if (type.width_px(longer) <= width_px) {
            lines.back() = longer;
        } else if (type.width_px(word) <= width_px) {
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

// Adds text below what the part has already. False when a word is too long.
bool add_text(PagePart& part, const Type& type, const std::string& text, double left_px, double width_px,
              int ink) {
    const std::optional<std::vector<std::string>> lines = wrapped(type, text, width_px);
    if (!lines)
        return false;
    for (const std::string& line : *lines) {
        part.texts.push_back({line, &type, left_px, part.height_px, ink});
        part.height_px += kLinePitch * type.size_px();
    }
    return true;
}

double key_width_px(const Type& type, const std::string& label) {
    return std::max(kKeyHeight, type.width_px(label) / type.size_px() + 2.0 * kKeyPadding) * type.size_px();
}

// A key whose label stands on the line that begins at `top_px`.
void add_key(PagePart& part, const Type& type, const std::string& label, double left_px, double top_px,
             int ink) {
    const double size_px = type.size_px();
    const double width_px = key_width_px(type, label);
    part.boxes.push_back({left_px, top_px + 0.5 * (type.height_px() - kKeyHeight * size_px), width_px,
                          kKeyHeight * size_px, kKeyRadius * size_px, kOutline * size_px, ink});
    part.texts.push_back({label, &type, left_px + 0.5 * (width_px - type.width_px(label)), top_px, ink});
}

// A word of the foot: pieces without a blank between them, some of them keys.
struct Piece {
    std::string text;
    bool is_key = false;
};
using Word = std::vector<Piece>;

double width_px(const Type& type, const Word& word) {
    double width = 0.0;
    for (const Piece& piece : word)
        width += piece.is_key ? key_width_px(type, piece.text) : type.width_px(piece.text);
    return width;
}

// "[Space bar]: go on" is three words, the first of them a key and a colon.
std::vector<Word> words_of(std::string_view text) {
    std::vector<Word> words(1);
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t close = text[at] == '[' ? text.find(']', at) : std::string_view::npos;
        if (close != std::string_view::npos) {
            words.back().push_back({std::string(text.substr(at + 1, close - at - 1)), true});
            at = close + 1;
            continue;
        }
        const std::size_t end =
            std::min(text.find_first_of(" [", at + (text[at] == '[' ? 1 : 0)), text.size());
        if (end > at)
            words.back().push_back({std::string(text.substr(at, end - at)), false});
        at = end;
        if (at < text.size() && text[at] == ' ') {
            words.emplace_back();
            ++at;
        }
    }
    return words;
}

using Line = std::vector<Word>;

double width_px(const Type& type, const Line& line) {
    double width = line.empty() ? 0.0 : static_cast<double>(line.size() - 1) * type.width_px(" ");
    for (const Word& word : line)
        width += width_px(type, word);
    return width;
}

// The foot takes one line where that fits. Otherwise what stands far apart gets lines of its own. Nothing
// when a word is too long.
std::optional<std::vector<Line>> foot_lines(const Type& type, const std::string& text, double column_px) {
    const Line words = words_of(text);
    if (width_px(type, words) <= column_px)
        return std::vector<Line>{words};
    std::vector<Line> lines(1);
    for (const Word& word : words) {
        if (width_px(type, word) > column_px)
            return std::nullopt;
        Line longer = lines.back();
        longer.push_back(word);
        if (!lines.back().empty() && (word.empty() || width_px(type, longer) > column_px))
            lines.emplace_back();
        if (!word.empty())
            lines.back().push_back(word);
    }
    return lines;
}

bool add_foot(PagePart& part, const Type& type, const std::string& text, double column_px) {
    const std::optional<std::vector<Line>> lines = foot_lines(type, text, column_px);
    if (!lines)
        return false;
    for (const Line& line : *lines) {
        double left_px = 0.5 * (column_px - width_px(type, line));
        for (const Word& word : line) {
            for (const Piece& piece : word) {
                if (piece.is_key)
                    add_key(part, type, piece.text, left_px, part.height_px, kFootInk);
                else
                    part.texts.push_back({piece.text, &type, left_px, part.height_px, kFootInk});
                left_px += width_px(type, Word{piece});
            }
            left_px += type.width_px(" ");
        }
        part.height_px += kLinePitch * type.size_px();
    }
    return true;
}

// The left edges of a row's keys, and after them the right end of the row.
std::vector<double> edges_px(const KeyRow& row, const Type& type) {
    std::vector<double> edges{0.0};
    for (const std::string& key : row.keys) {
        const double wide = key.empty() ? type.width_px(kBetweenWays) : key_width_px(type, key);
        edges.push_back(edges.back() + wide + kKeyGap * type.size_px());
    }
    return edges;
}

// Keys stand on the left, and all meanings in a column beside them.
bool add_keys(PagePart& part, const std::vector<KeyRow>& rows, const Type& type, double column_px) {
    const double em_px = type.size_px();
    double meaning_px = 0.0;
    for (const KeyRow& row : rows)
        meaning_px = std::max(meaning_px, edges_px(row, type).back() + 0.7 * em_px);
    for (const KeyRow& row : rows) {
        const std::vector<double> edges = edges_px(row, type);
        const double top_px = part.height_px;
        for (std::size_t i = 0; i < row.keys.size(); ++i) {
            if (row.keys[i].empty())
                part.texts.push_back({kBetweenWays, &type, edges[i], top_px, kTextInk});
            else
                add_key(part, type, row.keys[i], edges[i], top_px, kTextInk);
        }
        if (meaning_px >= column_px ||
            !add_text(part, type, row.meaning, meaning_px, column_px - meaning_px, kTextInk))
            return false;
        part.height_px += (kRowPitch - kLinePitch) * em_px;
    }
    return true;
}

bool add_choices(PagePart& part, const std::vector<std::string>& choices, int chosen, const Type& type,
                 double column_px) {
    const double em_px = type.size_px();
    for (std::size_t i = 0; i < choices.size(); ++i) {
        const bool stands_out = static_cast<int>(i) == chosen;
        const double top_px = part.height_px;
        if (!add_text(part, type, choices[i], kMarkWidth * em_px, column_px - (kMarkWidth + 0.6) * em_px,
                      stands_out ? kFullInk : kTextInk))
            return false;
        if (stands_out) {
            const double slack_px = 0.5 * (kLinePitch * em_px - type.height_px());
            part.texts.push_back({kMark, &type, 0.5 * em_px, top_px, kFullInk});
            part.boxes.push_back({0.0, top_px - slack_px - 0.05 * em_px, column_px,
                                  part.height_px - top_px + 0.1 * em_px, kKeyRadius * em_px, kOutline * em_px,
                                  kFullInk});
        }
        part.height_px += (kRowPitch - kLinePitch) * em_px;
    }
    return true;
}

bool add_entry(PagePart& part, const std::string& entry, const Type& type, double column_px) {
    const double em_px = type.size_px();
    const double text_px = type.width_px(entry);
    const double box_px = std::max(kEntryWidth * em_px, text_px + 2.0 * em_px);
    const double top_px = part.height_px + 0.25 * em_px;
    part.boxes.push_back({0.0, top_px - 0.3 * em_px, box_px, type.height_px() + 0.6 * em_px,
                          kKeyRadius * em_px, kOutline * em_px, kFullInk});
    part.texts.push_back({entry, &type, 0.6 * em_px, top_px, kFullInk});
    part.boxes.push_back(
        {0.7 * em_px + text_px, top_px, std::max(1.0, 0.08 * em_px), type.height_px(), 0.0, 0.0, kFullInk});
    part.height_px += kRowPitch * em_px;
    return box_px <= column_px;
}

bool add_block(PagePart& part, const Page& page, const PageType& type, double column_px) {
    const double gap_px = kParagraphGap * type.em_px;
    bool fits = true;
    if (!page.heading.empty()) {
        fits = add_text(part, type.heading, page.heading, 0.0, column_px, kFullInk);
        part.height_px += gap_px;
    }
    for (const std::string& paragraph : page.paragraphs) {
        fits = fits && add_text(part, type.text, paragraph, 0.0, column_px, kTextInk);
        part.height_px += gap_px;
    }
    if (!page.choices.empty()) {
        fits = fits && add_choices(part, page.choices, page.chosen, type.text, column_px);
        part.height_px += gap_px;
    }
    if (page.entry) {
        fits = fits && add_entry(part, *page.entry, type.text, column_px);
        part.height_px += gap_px;
    }
    if (!page.keys.empty()) {
        fits = fits && add_keys(part, page.keys, type.text, column_px);
        part.height_px += gap_px;
    }
    return fits;
}

}  // namespace

PageType::PageType(const std::string& font_path, double em)
    : em_px(em),
      text(font_path, em),
      heading(font_path, kHeadingSize * em),
      foot(font_path, kFootSize * em) {}

// The picture stands right of the part, whose text is `text_px` wide.
void add_picture(PagePart& part, const InkPicture& picture, double text_px, double em_px) {
    const double taller_px = std::max(part.height_px, static_cast<double>(picture.height_px));
    part.pictures.push_back({&picture, text_px + kPictureGap * em_px, 0.5 * (taller_px - picture.height_px)});
    part.height_px = taller_px;
}

std::optional<PageLayout> laid_out(const Page& page, const PageType& type, int width_px, int height_px) {
    PageLayout layout;
    layout.column_px = std::min(0.84 * width_px, kColumnWidth * type.em_px);
    double text_px = layout.column_px;
    if (page.picture != nullptr) {
        // The column is as wide as the screen allows; beside a picture the text takes less.
        layout.column_px = kPictureColumn * width_px;
        text_px = layout.column_px - page.picture->width_px - kPictureGap * type.em_px;
    }
    const bool fits = text_px > 0.0 && add_block(layout.block, page, type, text_px) &&
                      (page.foot.empty() || add_foot(layout.foot, type.foot, page.foot, layout.column_px));
    if (fits && page.picture != nullptr)
        add_picture(layout.block, *page.picture, text_px, type.em_px);
    // Above and below stay at least two lines free.
    if (!fits || layout.block.height_px + layout.foot.height_px + 6.0 * type.em_px > height_px)
        return std::nullopt;
    return layout;
}

std::optional<PagePart> centred_text(const std::string& text, const Type& type, double width_px) {
    PagePart part;
    if (!add_text(part, type, text, 0.0, width_px, kFullInk))
        return std::nullopt;
    for (PlacedText& line : part.texts)
        line.left_px = 0.5 * (width_px - type.width_px(line.text));
    return part;
}

}  // namespace isoseam
