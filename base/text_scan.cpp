#include "base/text_scan.h"

#include <algorithm>

#include "base/errors.h"
#include "base/quantity.h"

namespace isoseam {

std::string_view without_byte_order_mark(std::string_view text) {
    constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
    if (text.starts_with(kByteOrderMark))
        text.remove_prefix(kByteOrderMark.size());
    return text;
}

std::string_view trimmed(std::string_view text) {
    constexpr const char* kBlanks = " \t\r\n";
    const std::size_t begin = text.find_first_not_of(kBlanks);
    if (begin == std::string_view::npos)
        return text.substr(0, 0);
    return text.substr(begin, text.find_last_not_of(kBlanks) + 1 - begin);
}

std::optional<double> finite_number(std::string_view text) {
    try {
        return parse_number(text);
    } catch (const InputError&) {
        return std::nullopt;
    }
}

std::vector<TextCell> words_between(std::string_view line, std::string_view separators) {
    std::vector<TextCell> words;
    std::size_t begin = line.find_first_not_of(separators);
    while (begin != std::string_view::npos) {
        const std::size_t end = std::min(line.find_first_of(separators, begin), line.size());
        words.push_back({line.substr(begin, end - begin), static_cast<int>(begin) + 1});
        begin = line.find_first_not_of(separators, end);
    }
    return words;
}

}  // namespace isoseam
