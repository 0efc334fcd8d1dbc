#include "analysis/study_report/word_lists.h"

#include <fmt/format.h>

namespace isoseam {

std::string counted(std::size_t count, const std::string& one, const std::string& many) {
    return fmt::format("{} {}", count, count == 1 ? one : many.empty() ? one + "s" : many);
}

std::string listed(const std::vector<std::string>& words) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i)
        text += (i == 0 ? "" : i + 1 == words.size() ? " and " : ", ") + words[i];
    return text;
}

std::string quoted_words(const std::string& words) {
    return "\u201c" + words + "\u201d";
}

}  // namespace isoseam
