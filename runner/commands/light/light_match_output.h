#pragma once
// Tells what matches with a name an eye makes, as `isoseam light --match rayleigh|moreland` prints it.
//
//     const NamedMatches matches = named_matches(parameters, {.match = "rayleigh"});
//     fmt::print("{}", named_matches_text(matches));

#include <cstdint>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "colorimetry/eye_types.h"
#include "colorimetry/named_matches.h"

namespace isoseam {

struct NamedMatchSettings {
    std::string match;  // "rayleigh" or "moreland"
    double desaturation = kMorelandDesaturation;
    AnomalousPigments pigments;
    int eyes = 1000;  // in the population; 0: no population
    std::uint64_t seed = 1;
};

// The match that one eye makes.
struct NamedMatchOfEye {
    std::string observer;  // the eye's description
    EyeType type = EyeType::trichromat;
    std::optional<MixtureMatch> match;
    std::optional<MatchLine> line;
    std::optional<MorelandMatch> moreland;  // none: it is a Rayleigh match
};

struct NamedMatchPopulation {
    MatchPopulation found;
    std::string about;  // the description of the eye that they are drawn about
};

struct NamedMatches {
    NamedMatchSettings settings;
    std::string luminance_unit;  // the eye by which luminance is measured
    NamedMatchOfEye this_eye;
    std::vector<NamedMatchOfEye> eye_types;  // this eye, in each of the types kEyeTypes
    std::optional<NamedMatchPopulation> population;
};

// Throws InputError for an impossible number of eyes, and whatever moreland_match() throws.
NamedMatches named_matches(const ObserverParameters& eye, const NamedMatchSettings& settings);

std::string named_matches_text(const NamedMatches& matches);
// The keys stand under "Matches with names" in colorimetry/README.md.
nlohmann::json to_json(const NamedMatches& matches);

}  // namespace isoseam
