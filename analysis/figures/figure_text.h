#pragma once
// This header says which text may stand in a figure and how much room it takes.

#include <string>
#include <vector>

namespace isoseam {

inline constexpr double kMmPerPoint = 25.4 / 72.0;

// Estimates how wide a text will be. The widths of letters are those of a wide sans-serif face.
double text_width_mm(const std::string& text, double size_pt);

// Breaks a text at blanks, so that no line is wider than width_mm according to text_width_mm. Words that are
// too long are broken anywhere. The result has at least one line.
std::vector<std::string> wrapped(const std::string& text, double size_pt, double width_mm);

// Gives UTF-8 without control characters. Line ends, tabs and other control characters become blanks, and
// faulty bytes become U+FFFD.
std::string clean_text(const std::string& text);

}  // namespace isoseam
