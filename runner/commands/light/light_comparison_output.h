#pragma once
// For whom two lights look alike, as `isoseam light A B` tells it.

#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>

#include "base/errors.h"
#include "colorimetry/eye_types.h"
#include "colorimetry/light_comparison.h"
#include "runner/commands/light_description.h"

namespace isoseam {

struct ComparisonSettings {
    DifferenceThreshold threshold;
    AnomalousPigments pigments;
    int eyes = 1000;  // of the population; 0: none
    std::uint64_t seed = 1;
};

// Keys: second_against_first, and those of "For whom two lights look alike" in colorimetry/README.md. Throws
// InputError for a threshold or a number of eyes that is none.
nlohmann::json comparison_json(const DescribedLight& first, const DescribedLight& second,
                               const ObserverParameters& eye, const ComparisonSettings& settings);
void print_comparison(const nlohmann::json& json);

// Runs `call`; a fault in it is told as one of the eye of this type that was made from the user's.
template <class Call>
auto naming_eye(EyeType type, const Call& call) {
    try {
        return call();
    } catch (const InputError& error) {
        std::vector<Fault> faults = error.faults();
        for (Fault& fault : faults)
            fault.key = name_of(type) + " made from this eye (" + fault.key + ")";
        throw InputError(faults);
    }
}

// Throws InputError unless `eyes` is within 0 and 1,000,000.
void check_eyes(int eyes);

}  // namespace isoseam
