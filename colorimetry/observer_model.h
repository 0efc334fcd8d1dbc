#pragma once
// The CIE 170-1:2006 model of an eye: pigments behind macular pigment, lens and other ocular media.

#include "colorimetry/observer.h"

namespace isoseam {

// The largest value of a curve in 1 nm steps, on a 0.1 nm grid: cubic spline through log10 of the samples
// around the largest. (The largest 1 nm sample itself is up to 7e-4 smaller.)
double peak_on_tenth_nm(const Eigen::Ref<const Eigen::VectorXd>& curve);

Observer::Table with_peak_1(const Observer::Table& table);           // each column, by peak_on_tenth_nm
Observer::Table quantal_from_energy(const Observer::Table& energy);  // energy / wavelength, not normalised

struct ModelledEye {
    Observer::Table energy;             // energy-based, peak 1
    Eigen::Vector2d luminance_weights;  // V_F = weights[0] L + weights[1] M, peak 1
};

// For parameters that were checked before.
ModelledEye modelled_eye(const ObserverParameters& parameters);

}  // namespace isoseam
