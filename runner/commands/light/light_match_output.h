#pragma once
// `isoseam light --match rayleigh|moreland`: what named matches an eye makes.

#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>

#include "colorimetry/eye_types.h"
#include "colorimetry/named_matches.h"

namespace isoseam {

struct NamedMatchSettings {
    std::string match;  // "rayleigh" or "moreland"
    double desaturation = kMorelandDesaturation;
    AnomalousPigments pigments;
    int eyes = 1000;  // of the population; 0: none
    std::uint64_t seed = 1;
};

// Keys: "Matches with names" in colorimetry/README.md.
nlohmann::json named_match_json(const ObserverParameters& eye, const NamedMatchSettings& settings);
void print_named_match(const nlohmann::json& json);

}  // namespace isoseam
