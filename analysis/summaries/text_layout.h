#pragma once
// Plain text for a terminal, at most kTextColumns wide.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace isoseam {

inline constexpr std::size_t kTextColumns = 110;

// The columns that a UTF-8 text takes, one for each code point.
std::size_t text_columns(std::string_view text);

// The text broken between words into lines of at most kTextColumns, each ended by a line feed. A longer word
// stays whole.
std::string wrapped(const std::string& text);

// Each of the words, wrapped, between `begin` and a full stop.
std::string sentences(const std::string& begin, const std::vector<std::string>& words);
// A name as the first cell of a row. One that is too long stands whole on lines of its own above the rest of
// the row.
std::string name_cell(const std::string& name, std::size_t width);

// The value with fixed decimals, a zero without its sign. A number too large for a column of a table stands
// in exponent form.
std::string fixed(double value, int decimals);

}  // namespace isoseam
