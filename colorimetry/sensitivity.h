#pragma once
// This header computes the excitation of three sensitivities in 1 nm steps (of cones, or colour-matching
// functions) by a light.

#include <Eigen/Core>

#include "colorimetry/spectrum.h"

namespace isoseam {

using SensitivityRows = Eigen::Ref<const Eigen::MatrixX3d>;  // row i: first_nm + i nm

// Gives the sensitivity at any wavelength: by 4-point Lagrange interpolation in log10 of the 1 nm values if
// all four are positive, and linearly otherwise. It is exact at whole nanometres and 0 outside the table.
Eigen::Vector3d sensitivity_at_nm(const SensitivityRows& table, int first_nm, double nm);

// Gives the integral of spectrum times sensitivity: the trapezoid over the union of the spectrum's grid and
// the table's, inside both ranges. Lines count with the sensitivity at their wavelength.
Eigen::Vector3d caught(const Spectrum& spectrum, const SensitivityRows& table, int first_nm);

}  // namespace isoseam
