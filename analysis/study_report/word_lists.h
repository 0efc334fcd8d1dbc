#pragma once
// This header writes numbers and lists in plain English: "1 setting", "5 settings", "a, b and c".

#include <cstddef>
#include <string>
#include <vector>

namespace isoseam {

// The plural is `one` with an s, unless `many` is given.
std::string counted(std::size_t count, const std::string& one, const std::string& many = "");
// "a", "a and b", "a, b and c".
std::string listed(const std::vector<std::string>& words);
template <class Words>
std::string listed(const Words& words) {
    return listed(std::vector<std::string>(words.begin(), words.end()));
}
std::string quoted_words(const std::string& words);  // in quotation marks

}  // namespace isoseam
