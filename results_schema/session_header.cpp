#include "results_schema/session_header.h"

#include <algorithm>

namespace isoseam {

bool is_participant_code(const std::string& code) {
    constexpr std::size_t kLongestCode = 32;
    const auto is_code_letter = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
               c == '_';
    };
    return !code.empty() && code.size() <= kLongestCode &&
           std::all_of(code.begin(), code.end(), is_code_letter);
}

}  // namespace isoseam
