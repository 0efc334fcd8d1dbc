#pragma once
#include <string>
#include <utility>

namespace isoseam {

// Reads a size such as "1024x768". The InputError has --window as key.
std::pair<int, int> parse_window_size(const std::string& text);

}  // namespace isoseam
