#pragma once
// The words of CGATS.17 text that reader and writer share, from memory of the standard.

#include <array>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace isoseam {

inline constexpr std::array<std::string_view, 2> kCgatsIdentifiers{"CGATS.17", "ISO28178"};

// Keywords of the standard with a text that is nothing to a reading's values.
extern const std::vector<std::string> kCgatsTextKeywords;
// The standard's keywords that are.
extern const std::vector<std::string> kCgatsOtherKeywords;
bool is_cgats_keyword(const std::string& word);  // one of either

enum class CgatsField { id, name, red, green, blue, nm, value, x, y, width, height, seconds };
extern const std::vector<std::pair<std::string, CgatsField>> kCgatsFields;
// Those of them that are ours, hence declared.
extern const std::set<std::string> kCgatsDeclaredFields;
std::string cgats_name(CgatsField field);

struct CgatsWord {
    std::string text;
    int column = 0;  // in its line, from 1
};
struct CgatsWords {
    std::vector<CgatsWord> words;
    bool open_quote = false;  // the last word lacks its closing quote
};

// Words between blanks; a text in double quotes is one word; '#' outside of them begins a comment.
CgatsWords cgats_words(std::string_view line);

}  // namespace isoseam
