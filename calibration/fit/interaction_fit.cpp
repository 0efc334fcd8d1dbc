#include "calibration/fit/interaction_fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "colorimetry/cielab.h"
#include "colorimetry/colour_difference.h"

namespace isoseam {
namespace {

using std::size_t;

std::vector<std::vector<int>> pairs_of(int primaries) {
    std::vector<std::vector<int>> pairs;
    for (int i = 0; i < primaries; ++i) {
        for (int j = i + 1; j < primaries; ++j)
            pairs.push_back({i, j});
    }
    return pairs;
}

std::vector<InteractionCandidate> candidate_terms(int primaries) {
    const std::vector<std::vector<int>> pairs = pairs_of(primaries);
    const InteractionTerm alike{pairs};
    std::vector<InteractionTerm> apart;
    for (const std::vector<int>& pair : pairs)
        apart.push_back({{pair}});
    std::vector<InteractionCandidate> candidates{{"none", {}, {}, ""}};
    candidates.push_back({"pairs alike", {alike}, {}, ""});
    candidates.push_back({"pairs", apart, {}, ""});
    if (primaries == 3) {
        const InteractionTerm triple{{{0, 1, 2}}};
        candidates.push_back({"all three", {triple}, {}, ""});
        candidates.push_back({"pairs alike and all three", {alike, triple}, {}, ""});
        apart.push_back(triple);
        candidates.push_back({"pairs and all three", apart, {}, ""});
    }
    return candidates;
}

Lab lab_of(const Eigen::VectorXd& light, const ResponseWeights& weights, const Xyz& white) {
    return lab_from_xyz(Xyz::from_vector(weights.xyz * light), white);
}

void test(InteractionCandidate& candidate, const EmissionFit& additive, const SortedReadings& readings,
          const ResponseWeights& weights, const Xyz& white) {
    EmissionFit fit = additive;
    fit.terms = candidate.terms;
    const std::vector<ColourReadings>& mixtures = readings.mixtures;
    double sum = 0.0;
    for (size_t left_out = 0; left_out < mixtures.size(); ++left_out) {
        std::vector<bool> use(mixtures.size(), true);
        use[left_out] = false;
        if (!fit.terms.empty()) {
            const double condition = terms_condition(fit, mixtures, use);
            if (!(condition <= kLargestTermsCondition)) {
                candidate.why_untested = fmt::format(
                    "the readings do not determine it: with one mixture left out, its {} spectra would "
                    "follow from "
                    "noise (condition number {:.3g}, up to {:g})",
                    fit.terms.size(), condition, kLargestTermsCondition);
                return;
            }
            fit.term_spectra = fit_terms(fit, mixtures, use);
        }
        sum += delta_e_2000(lab_of(fit.light(mixtures[left_out].drive), weights, white),
                            lab_of(mixtures[left_out].light, weights, white));
    }
    candidate.score = sum / static_cast<double>(mixtures.size());
}

Eigen::VectorXd white_of(const EmissionFit& fit, const SortedReadings& readings) {
    if (const ColourReadings* white = readings.white())
        return white->light;
    return fit.additive(Eigen::VectorXd::Ones(readings.primary_count()));
}

}  // namespace

std::vector<AdditivityError> additivity_errors(const EmissionFit& fit, const SortedReadings& readings,
                                               const ResponseWeights& weights) {
    const Eigen::Vector3d white = weights.lms * (white_of(fit, readings) - fit.black);
    std::vector<AdditivityError> errors;
    for (const ColourReadings& mixture : readings.mixtures) {
        const Eigen::Vector3d difference = weights.lms * (mixture.light - fit.additive(mixture.drive));
        errors.push_back({mixture.line, mixture.drive, difference.cwiseQuotient(white)});
    }
    return errors;
}

std::vector<InteractionCandidate> interaction_candidates(const EmissionFit& additive,
                                                         const SortedReadings& readings,
                                                         const ResponseWeights& weights) {
    if (readings.mixtures.empty())
        return {};
    std::vector<InteractionCandidate> candidates = candidate_terms(readings.primary_count());
    const Xyz white = Xyz::from_vector(weights.xyz * white_of(additive, readings));
    for (InteractionCandidate& candidate : candidates)
        test(candidate, additive, readings, weights, white);
    const auto rank = [](const InteractionCandidate& candidate) {
        return candidate.score.value_or(std::numeric_limits<double>::infinity());
    };
    std::stable_sort(candidates.begin(), candidates.end(),
                     [&](const auto& a, const auto& b) { return rank(a) < rank(b); });
    return candidates;
}

}  // namespace isoseam
