#include "analysis/text_layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <sstream>

namespace isoseam {

std::size_t text_columns(const std::string& text) {
    return static_cast<std::size_t>(std::count_if(
        text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::string wrapped(const std::string& text) {
    std::istringstream words(text);
    std::string lines;
    std::size_t column = 0;
    for (std::string word; words >> word;) {
        const std::size_t width = text_columns(word);
        if (column > 0 && column + 1 + width > kTextColumns) {
            lines += '\n';
            column = 0;
        }
        lines += column > 0 ? " " + word : word;
        column += width + (column > 0 ? 1 : 0);
    }
    return lines + "\n";
}

std::string name_cell(const std::string& name, std::size_t width) {
    const std::size_t columns = text_columns(name);
    if (columns < width) {
        return name + std::string(width - columns, ' ');
    }
    return wrapped(name) + std::string(width, ' ');
}

std::string fixed(double value, int decimals) {
    constexpr double kTooLarge = 999.9995;
    if (std::abs(value) >= kTooLarge) {
        return fmt::format("{:.1e}", value);
    }
    std::string text = fmt::format("{:.{}f}", value, decimals);
    const bool is_zero = text.find_first_not_of("-0.") == std::string::npos;
    return is_zero && text.front() == '-' ? text.substr(1) : text;
}

}  // namespace isoseam
