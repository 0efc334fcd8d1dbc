#pragma once
// This header finds out whether the light of a screen's primaries adds up, and which interactions its
// readings can determine.

#include <optional>
#include <string>
#include <vector>

#include "calibration/fit/emission_fit.h"
#include "calibration/fit/response_weights.h"

namespace isoseam {

// This compares a reading of several primaries with the sum of these primaries, as shares of the excitations
// of white.
struct AdditivityError {
    int line = 0;
    Eigen::VectorXd drive;
    Eigen::Vector3d cones;  // (read - sum) / white
};
std::vector<AdditivityError> additivity_errors(const EmissionFit& fit, const SortedReadings& readings,
                                               const ResponseWeights& weights);

// This is one set of terms, and how well it predicts mixtures that were not used to fit it.
struct InteractionCandidate {
    std::string name;  // "none", "all three", "pairs alike", "pairs alike and all three", "pairs", ...
    std::vector<InteractionTerm> terms;
    // The mean CIEDE2000 over the mixtures, each left out in turn.
    std::optional<double> score;
    // The reason if there is no score.
    std::string why_untested;
};

// Above this condition number the spectra of terms would follow from noise.
inline constexpr double kLargestTermsCondition = 50.0;

// Gives these candidates: no interaction (the additive screen), the sets of pairs and, for three primaries,
// of the triple. They are in order of score, the best first. The list is empty if there is no mixture.
// `additive` has no terms.
std::vector<InteractionCandidate> interaction_candidates(const EmissionFit& additive,
                                                         const SortedReadings& readings,
                                                         const ResponseWeights& weights);

}  // namespace isoseam
