#pragma once
// `isoseam light --solve A B C = D`: the mixture of three lights that looks like a fourth.

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "runner/commands/light_description.h"

namespace isoseam {

// `words` are A, B, C, "=" and D. Throws InputError where they are not, and where the lights do not fix a
// match (see colour_match.h). Keys: "Mixtures of three lights" in colorimetry/README.md.
nlohmann::json solved_json(const std::vector<std::string>& words, const LightEye& eye,
                           const std::optional<ShownOn>& screen);
void print_solved(const nlohmann::json& json);

}  // namespace isoseam
