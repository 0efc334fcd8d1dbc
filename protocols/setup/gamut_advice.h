#pragma once
// What to say about a light that a screen cannot show: by how much it misses, and what would fit.

#include <optional>
#include <string>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam {

// The factors k > 0 for which k times a light is in gamut. They form an interval, because the gamut is
// convex.
struct FactorRange {
    double lowest = 0.0;
    double highest = 0.0;
};
std::optional<FactorRange> fitting_factors(const DriveSolver& solver, const Lms& light);

// Says by how much a light misses the gamut:
// "out of the gamut of source 'lcd' by 12.3 % of full light (primary 2 would need 112.3 %)".
std::string gamut_miss(const DriveSolution& solution, const DriveSolver& solver, const std::string& source);

// Names a luminance that fits on `source`, or says that none does and why. For a light given as a contrast it
// names the share that fits. `source` is the screen that cannot show the light. `shown_on` is the screen that
// the light is specified on. The two screens are the same, except for a match.
std::string gamut_remedy(const Setup& setup, const LightSpec& spec, int shown_on, int source);

// The key where a light is described: the key of the use or, where the use only names a light, that light's
// key.
std::string description_key(const Protocol& protocol, const LightSpec& spec, const std::string& key_of_use);

}  // namespace isoseam
