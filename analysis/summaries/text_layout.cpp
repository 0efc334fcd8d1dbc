#include "analysis/summaries/text_layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace isoseam {

std::size_t text_columns(std::string_view text) {
    return static_cast<std::size_t>(std::count_if(
        text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::string wrapped(const std::string& text) {
    constexpr const char* kBlanks = " \t\n\v\f\r";
    std::string lines;
    std::size_t column = 0;
    std::size_t end = 0;
    for (std::size_t begin = text.find_first_not_of(kBlanks); begin != std::string::npos;
         begin = text.find_first_not_of(kBlanks, end)) {
        end = std::min(text.find_first_of(kBlanks, begin), text.size());
        const std::string_view word = std::string_view(text).substr(begin, end - begin);
        const std::size_t width = text_columns(word);
        if (column > 0 && column + 1 + width > kTextColumns) {
            lines += '\n';
            column = 0;
        }
        lines.append(column > 0 ? " " : "").append(word);
        column += width + (column > 0 ? 1 : 0);
    }
    return lines + "\n";
}

std::string sentences(const std::string& begin, const std::vector<std::string>& words) {
    std::string text;
    for (const std::string& one : words)
        text += wrapped(begin + one + ".");
    return text;
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
