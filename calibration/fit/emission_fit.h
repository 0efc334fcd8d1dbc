#pragma once
// This header fits what a screen emits, by least squares over all readings, once the form is decided.

#include <Eigen/Core>
#include <vector>

#include "calibration/fit/sorted_readings.h"
#include "calibration/fit/tone_fit.h"

namespace isoseam {

// A term is light beyond the sum of the primaries: one spectrum times the sum of one or more products of
// linear light. Several products share a spectrum if the readings cannot distinguish them.
struct InteractionTerm {
    std::vector<std::vector<int>> products;  // indices of primaries, rising
};

// The form of what a screen emits.
struct EmissionForm {
    std::vector<ToneForm> tones;
    std::vector<InteractionTerm> terms;
};

// This is the light of the levels of one ramp as multiples of one spectrum, with black subtracted. Multiples
// and spectrum are the pair that is nearest to all readings of the ramp (weighted by their number). They are
// found by solving for one and the other in turn. The last level is 1.
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

// Throws an InputError if a ramp does not determine its tone response.
EmissionFit fit_emission(const SortedReadings& readings, const EmissionForm& form);

// Gives the spectra of the terms that bring `fit` nearest to the mixtures (a mask says which to use). Each
// mixture is weighted by how much its lightness changes with light. `fit.terms` are the terms to be fitted.
Eigen::MatrixXd fit_terms(const EmissionFit& fit, const std::vector<ColourReadings>& mixtures,
                          const std::vector<bool>& use);

// Gives the condition number of the terms' values over the mixtures in use, with columns scaled to length 1.
// It is infinite if there are fewer mixtures than terms.
double terms_condition(const EmissionFit& fit, const std::vector<ColourReadings>& mixtures,
                       const std::vector<bool>& use);

}  // namespace isoseam
