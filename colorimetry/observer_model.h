#pragma once
// This header has the CIE 170-1:2006 model of an eye: pigments behind macular pigment, lens and other ocular
// media.

#include "colorimetry/observer.h"

namespace isoseam {

// Gives the largest value of a curve in 1 nm steps, on a 0.1 nm grid: by a cubic spline through log10 of the
// samples around the largest. (The largest 1 nm sample itself is up to 7e-4 smaller.) It is 0 for a curve
// that is 0 everywhere.
double peak_on_tenth_nm(const Eigen::Ref<const Eigen::VectorXd>& curve);

Observer::Table with_peak_1(const Observer::Table& table);  // each column that is not 0, by peak_on_tenth_nm

// Gives energy / wavelength, which is not normalised.
Observer::Table quantal_from_energy(const Observer::Table& energy, int first_nm);

struct ModelledEye {
    int first_nm = 0;
    Observer::Table energy;  // energy-based, peak 1; 0 for a missing cone
    // V_F = weights[0] L + weights[1] M, with a peak of 1. The weights are 0 if the eye has neither L nor M.
    Eigen::Vector2d luminance_weights;
};

// The parameters must have been checked before.
ModelledEye modelled_eye(const ObserverParameters& parameters);
EyeParts modelled_parts(const ObserverParameters& parameters);

}  // namespace isoseam
