#pragma once
// Tells for whom two lights look alike, as `isoseam light A B` prints it.
//
//     const LightComparison comparison = compare_lights(first, second, white, parameters, settings);
//     fmt::print("{}", light_comparison_text(comparison));

#include <array>
#include <cstdint>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "colorimetry/colour_types.h"
#include "colorimetry/eye_types.h"
#include "colorimetry/light_comparison.h"
#include "runner/commands/light_description.h"
#include "runner/commands/option_faults.h"

namespace isoseam {

struct ComparisonSettings {
    DifferenceThreshold threshold;
    AnomalousPigments pigments;
    int eyes = 1000;  // in the population; 0: no population
    std::uint64_t seed = 1;
};

// How different the two lights are for one eye.
struct ComparedEye {
    std::string observer;         // its description
    std::array<bool, 3> lacks{};  // L, M, S
    EyeDifference difference;
};

// The second light against the first, for the eye that was asked about.
struct SecondAgainstFirst {
    // The length is none where the eye lacks a cone, or the first light gives a cone nothing.
    std::optional<double> contrast_length;
    std::optional<PooledCardinalContrast> pooled_cardinal;
};

struct ComparedRods {
    std::array<double, 2> excitations{};
    std::array<double, 2> scotopic_luminance_cd_m2{};
    // The rods' excitation is not known where an assumed spectrum is negative at wavelengths to which rods
    // are sensitive.
    bool is_known = true;
    std::optional<double> contrast;  // none: it is not known, or the first light is dark
    bool may_matter = false;
};

struct ComparedPopulation {
    PopulationDifference found;
    std::string about;  // the description of the eye that they are drawn about
    std::uint64_t seed = 1;
};

struct LightComparison {
    DifferenceThreshold threshold;
    ComparedEye this_eye;
    ComparedEye mean_eye;
    std::vector<std::pair<EyeType, ComparedEye>> eye_types;  // this eye, in each of the types kEyeTypes
    // This is none where the first light gives this eye nothing.
    std::optional<SecondAgainstFirst> second_against_first;
    ComparedRods rods;
    bool spectrum_is_assumed = false;
    std::optional<ComparedPopulation> population;
    std::optional<ColourDifference> colour_difference;
};

// Throws InputError for an impossible threshold or number of eyes. The colour difference is that of the two
// lights beside `white`.
LightComparison compare_lights(const DescribedLight& first, const DescribedLight& second,
                               const std::optional<Xyz>& white, const ObserverParameters& eye,
                               const ComparisonSettings& settings);

std::string light_comparison_text(const LightComparison& comparison);
// The keys stand under "For whom two lights look alike" in colorimetry/README.md.
nlohmann::json to_json(const LightComparison& comparison);

// Runs `call`. A fault in it is told as a fault of the eye of this type that was made from the user's eye.
template <class Call>
auto naming_eye(EyeType type, const Call& call) {
    return changing_faults(
        call, [&](Fault& fault) { fault.key = name_of(type) + " made from this eye (" + fault.key + ")"; });
}

// Throws InputError unless `eyes` is from 0 to 1,000,000.
void check_eyes(int eyes);

}  // namespace isoseam
