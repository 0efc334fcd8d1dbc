#pragma once
// The CIE 170-1:2006 model of an eye: pigments behind macular pigment, lens and other ocular media.

#include "colorimetry/observer.h"

namespace isoseam {

// The largest value of a curve in 1 nm steps, on a 0.1 nm grid: cubic spline through log10 of the samples
// around the largest. (The largest 1 nm sample itself is up to 7e-4 smaller.) 0 for a curve that is 0
// everywhere.
double peak_on_tenth_nm(const Eigen::Ref<const Eigen::VectorXd>& curve);

Observer::Table with_peak_1(const Observer::Table& table);  // each column that is not 0, by peak_on_tenth_nm

// energy / wavelength, not normalised.
Observer::Table quantal_from_energy(const Observer::Table& energy, int first_nm);

struct ModelledEye {
    int first_nm = 0;
    Observer::Table energy;             // energy-based, peak 1; 0 for a cone that lacks
    Eigen::Vector2d luminance_weights;  // V_F = weights[0] L + weights[1] M, peak 1; 0 where neither is there
};

// The parameters must have been checked before.
ModelledEye modelled_eye(const ObserverParameters& parameters);
EyeParts modelled_parts(const ObserverParameters& parameters);

}  // namespace isoseam
