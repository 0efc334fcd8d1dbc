#pragma once
// This header holds the words of CGATS.17 text that reader and writer share, from memory of the standard.

#include <array>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace isoseam {

inline constexpr std::array<std::string_view, 2> kCgatsIdentifiers{"CGATS.17", "ISO28178"};

// These are keywords of the standard whose text does not affect the values of a reading.
extern const std::vector<std::string> kCgatsTextKeywords;
// These are keywords of the standard whose text does affect the values of a reading.
extern const std::vector<std::string> kCgatsOtherKeywords;
// True for a keyword of either list.
bool is_cgats_keyword(const std::string& word);

enum class CgatsField { id, name, red, green, blue, nm, value, x, y, width, height, seconds };
extern const std::vector<std::pair<std::string, CgatsField>> kCgatsFields;
// These are the fields that are our own and must therefore be declared.
extern const std::set<std::string> kCgatsDeclaredFields;
std::string cgats_name(CgatsField field);

struct CgatsWord {
    std::string text;
    int column = 0;  // in its line, from 1
};
struct CgatsWords {
    std::vector<CgatsWord> words;
    // True if the last word lacks its closing quote.
    bool open_quote = false;
};

// Splits a line into words between blanks. A text in double quotes is one word, and '#' outside quotes begins
// a comment.
CgatsWords cgats_words(std::string_view line);

}  // namespace isoseam
