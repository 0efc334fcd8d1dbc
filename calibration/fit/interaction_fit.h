#pragma once
// Finds out whether a screen adds its primaries up, and which interactions its readings can tell.

#include <optional>
#include <string>
#include <vector>

#include "calibration/fit/emission_fit.h"
#include "calibration/fit/response_weights.h"

namespace isoseam {

// A reading of several primaries against their sum, as shares of the excitations of white.
struct AdditivityError {
    int line = 0;
    Eigen::VectorXd drive;
    Eigen::Vector3d cones;  // (read - sum) / white
};
std::vector<AdditivityError> additivity_errors(const EmissionFit& fit, const SortedReadings& readings,
                                               const ResponseWeights& weights);

// One set of terms, and how it foretells mixtures that it has not seen.
struct InteractionCandidate {
    std::string name;  // "none", "all three", "pairs alike", "pairs alike and all three", "pairs", ...
    std::vector<InteractionTerm> terms;
    std::optional<double> score;  // mean CIEDE2000 over the mixtures, each left out in turn
    std::string why_untested;     // where there is no score
};

// Above this condition number the spectra of terms follow from noise.
inline constexpr double kLargestTermsCondition = 50.0;

// No interaction (the additive screen), and the sets of pairs and, for three primaries, of the triple; in
// order of score, the best first. Empty when there is no mixture. `additive` has no terms.
std::vector<InteractionCandidate> interaction_candidates(const EmissionFit& additive,
                                                         const SortedReadings& readings,
                                                         const ResponseWeights& weights);

}  // namespace isoseam
