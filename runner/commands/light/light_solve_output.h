#pragma once
// Finds the mixture of three lights that looks like a fourth, as `isoseam light --solve A B C = D` prints it.
//
//     fmt::print("{}", solved_mixture_text(solved_mixture({a, b, c, "=", d}, eye, {})));

#include <Eigen/Core>
#include <array>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "runner/commands/light_description.h"

namespace isoseam {

struct SolvedMixture {
    std::string observer;               // the eye's description
    std::array<std::string, 3> lights;  // A, B and C in the grammar of lights
    std::string wanted;                 // D
    double condition_number = 0.0;
    bool spectrum_is_assumed = false;           // true where it holds for any of the four lights
    std::vector<Eigen::Vector3d> amounts;       // of A, B and C, one mixture after the other
    std::vector<Eigen::Vector3d> free_changes;  // see colour_match.h
};

// `words` are A, B, C, "=" and D. Throws InputError where they are not, and where the lights do not fix a
// match (see colour_match.h).
SolvedMixture solved_mixture(const std::vector<std::string>& words, const LightEye& eye,
                             const std::optional<ShownOn>& screen);

std::string solved_mixture_text(const SolvedMixture& solved);
// The keys stand under "Mixtures of three lights" in colorimetry/README.md.
nlohmann::json to_json(const SolvedMixture& solved);

}  // namespace isoseam
