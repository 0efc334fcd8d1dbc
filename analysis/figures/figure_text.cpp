#include "analysis/figures/figure_text.h"

#include <algorithm>

namespace isoseam {
namespace {

constexpr double kMeanLetterEm = 0.62;  // DejaVu Sans, English text and digits, rounded up

bool is_continuation(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

// Bytes of the UTF-8 letter that begins at text[i]; 0 if there is none (Unicode 15, table 3-7).
std::size_t letter_length(const std::string& text, std::size_t i) {
    const auto byte = [&](std::size_t k) {
        return k < text.size() ? static_cast<unsigned char>(text[k]) : static_cast<unsigned char>(0);
    };
    const unsigned char first = byte(i);
    if (first < 0x80)
        return 1;
    std::size_t length = 0;
    unsigned char lowest = 0x80;
    unsigned char highest = 0xBF;
    if (first >= 0xC2 && first <= 0xDF) {
        length = 2;
    } else if (first >= 0xE0 && first <= 0xEF) {
        length = 3;
        lowest = first == 0xE0 ? 0xA0 : lowest;
        highest = first == 0xED ? 0x9F : highest;
    } else if (first >= 0xF0 && first <= 0xF4) {
        length = 4;
        lowest = first == 0xF0 ? 0x90 : lowest;
        highest = first == 0xF4 ? 0x8F : highest;
    } else {
        return 0;
    }
    if (byte(i + 1) < lowest || byte(i + 1) > highest)
        return 0;
    for (std::size_t k = 2; k < length; ++k) {
        if (i + k >= text.size() || !is_continuation(text[i + k]))
            return 0;
    }
    return length;
}

// The first letters of a word that fit into width_mm, at least one.
std::size_t bytes_that_fit(const std::string& word, double size_pt, double width_mm) {
    std::size_t end = 0;
    while (end < word.size()) {
        std::size_t next = end + 1;
        while (next < word.size() && is_continuation(word[next]))
            ++next;
        if (end > 0 && text_width_mm(word.substr(0, next), size_pt) > width_mm)
            break;
        end = next;
    }
    return end;
}

std::vector<std::string> words_of(const std::string& text) {
    std::vector<std::string> words;
    std::string word;
    for (const char c : text + " ") {
        if (c != ' ') {
            word += c;
        } else if (!word.empty()) {
            words.push_back(word);
            word.clear();
        }
    }
    return words;
}

}  // namespace

double text_width_mm(const std::string& text, double size_pt) {
    const auto letters = std::count_if(text.begin(), text.end(), [](char c) { return !is_continuation(c); });
    return static_cast<double>(letters) * kMeanLetterEm * size_pt * kMmPerPoint;
}

std::vector<std::string> wrapped(const std::string& text, double size_pt, double width_mm) {
    const auto fits = [&](const std::string& line) { return text_width_mm(line, size_pt) <= width_mm; };
    std::vector<std::string> lines{""};
    for (std::string word : words_of(text)) {
        const std::string longer = lines.back().empty() ? word : lines.back() + " " + word;
        if (fits(longer)) {
            lines.back() = longer;
            continue;
        }
        if (!lines.back().empty())
            lines.emplace_back();
        while (!fits(word)) {
            const std::size_t count = bytes_that_fit(word, size_pt, width_mm);
            lines.back() = word.substr(0, count);
            word.erase(0, count);
            if (word.empty())
                break;
            lines.emplace_back();
        }
        if (!word.empty())
            lines.back() = word;
    }
    return lines;
}

std::string clean_text(const std::string& text) {
    std::string clean;
    for (std::size_t i = 0; i < text.size();) {
        const std::size_t length = letter_length(text, i);
        const auto first = static_cast<unsigned char>(text[i]);
        // C1 controls are two bytes, 0xC2 0x80 to 0xC2 0x9F; U+FFFE and U+FFFF may not stand in XML.
        const std::string letter = text.substr(i, std::max<std::size_t>(length, 1));
        const bool is_control =
            first < 0x20 || first == 0x7F ||
            (length == 2 && first == 0xC2 && static_cast<unsigned char>(letter[1]) < 0xA0);
        if (length == 0 || letter == "\xEF\xBF\xBE" || letter == "\xEF\xBF\xBF")
            clean += "\xEF\xBF\xBD";
        else
            clean += is_control ? " " : letter;
        i += std::max<std::size_t>(length, 1);
    }
    return clean;
}

}  // namespace isoseam
