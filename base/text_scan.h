#pragma once
// What readers of tables share: lines, cells and numbers of a text.
//
//     for_each_line(without_byte_order_mark(text), [&](std::string_view line) { ... });

#include <optional>
#include <string_view>
#include <vector>

namespace isoseam {

std::string_view without_byte_order_mark(std::string_view text);

// Removes blanks and ends of lines at both ends.
std::string_view trimmed(std::string_view text);

// The number that parse_number() reads, or none where it refuses the text.
std::optional<double> finite_number(std::string_view text);

// Gives each line without its end. The last line counts too if it has no end.
void for_each_line(std::string_view text, const auto& use) {
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        use(text.substr(0, end));
        text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    }
}

struct TextCell {
    std::string_view text;
    int column;  // of its first character in the line, from 1
};

// The words of a line between any run of the separators. No word is empty.
std::vector<TextCell> words_between(std::string_view line, std::string_view separators);

}  // namespace isoseam
