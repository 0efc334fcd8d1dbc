#pragma once
// The built program, run from outside.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
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

// What the program prints as JSON; it must end with 0.
inline nlohmann::json isoseam_json(const std::vector<std::string>& words) {
    const ProgramResult result = run_isoseam(words);
    INFO(result.err);
    REQUIRE(result.status == 0);
    return nlohmann::json::parse(result.out);
}

}  // namespace isoseam::test
