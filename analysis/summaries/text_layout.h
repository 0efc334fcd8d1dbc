#pragma once
// Plain text for a terminal: at most kTextColumns wide.

#include <cstddef>
#include <string>
#include <string_view>

namespace isoseam {

inline constexpr std::size_t kTextColumns = 110;

// Columns that a UTF-8 text takes, at one a code point.
std::size_t text_columns(std::string_view text);

// Broken between words into lines of at most kTextColumns, each ended by a line feed; a longer word stays
// whole.
std::string wrapped(const std::string& text);

// A name as the first cell of a row. One that is too long stands whole on lines of its own above the rest of
// the row.
std::string name_cell(const std::string& name, std::size_t width);

// Fixed decimals, without the sign of a zero; numbers too large for a column of a table in exponent form.
std::string fixed(double value, int decimals);

}  // namespace isoseam
