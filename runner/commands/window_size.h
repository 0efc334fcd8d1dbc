#pragma once
#include <string>
#include <utility>

namespace isoseam {

// "1024x768". InputError with --window as key.
std::pair<int, int> parse_window_size(const std::string& text);

}  // namespace isoseam
