#pragma once
// What a screen emits, by least squares over all readings, once its form is settled.

#include <Eigen/Core>
#include <vector>

#include "calibration/fit/sorted_readings.h"
#include "calibration/fit/tone_fit.h"

namespace isoseam {

// Light beyond the sum of the primaries: one spectrum times the sum of one or more products of linear light.
// Several products share a spectrum where the readings cannot tell them apart.
struct InteractionTerm {
    std::vector<std::vector<int>> products;  // indices of primaries, rising
};

// The form of what a screen emits.
struct EmissionForm {
    std::vector<ToneForm> tones;
    std::vector<InteractionTerm> terms;
};

// Light of the levels of one ramp as multiples of one spectrum, black subtracted: the pair that is nearest to
// all readings of the ramp (weighted by their number), found by solving for one and the other in turn. The
// last level is 1.
struct RampFit {
    Eigen::VectorXd levels;
    Eigen::VectorXd spectrum;
};
RampFit fit_ramp(const std::vector<ColourReadings>& ramp, const Eigen::VectorXd& black);
ToneLevels tone_levels(const std::vector<ColourReadings>& ramp, const RampFit& fit);

struct EmissionFit {
    Eigen::VectorXd black;
    Eigen::MatrixXd primaries;  // columns: at full drive, black subtracted
    std::vector<ToneResponse> tones;
    std::vector<RampFit> ramps;
    std::vector<InteractionTerm> terms;
    Eigen::MatrixXd term_spectra;  // columns

    Eigen::VectorXd linear(const Eigen::VectorXd& drive) const;
    Eigen::VectorXd term_values(const Eigen::VectorXd& linear) const;
    Eigen::VectorXd light(const Eigen::VectorXd& drive) const;     // black included
    Eigen::VectorXd additive(const Eigen::VectorXd& drive) const;  // without interactions
};

// InputError where a ramp does not determine its tone response.
EmissionFit fit_emission(const SortedReadings& readings, const EmissionForm& form);

// The spectra of the terms that bring `fit` nearest to mixtures (a mask says which to use), each weighted by
// how much its lightness changes with light. `fit.terms` are those to be fitted.
Eigen::MatrixXd fit_terms(const EmissionFit& fit, const std::vector<ColourReadings>& mixtures,
                          const std::vector<bool>& use);

// Condition number of the terms' values over the mixtures in use, columns scaled to length 1; infinite for
// fewer mixtures than terms.
double terms_condition(const EmissionFit& fit, const std::vector<ColourReadings>& mixtures,
                       const std::vector<bool>& use);

}  // namespace isoseam
