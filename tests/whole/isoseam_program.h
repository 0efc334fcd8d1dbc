#pragma once
#include <string>
#include <vector>

#include "support/run_program.h"

namespace isoseam::test {

inline std::vector<std::string> isoseam_words(std::vector<std::string> words) {
    words.insert(words.begin(), ISOSEAM_BINARY_DIR "/runner/isoseam");
    return words;
}

// Runs the built program to its end.
inline ProgramResult run_isoseam(const std::vector<std::string>& words, const ProgramOptions& options = {}) {
    return run_program(isoseam_words(words), options);
}

}  // namespace isoseam::test
