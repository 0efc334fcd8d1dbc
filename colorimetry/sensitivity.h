#pragma once
// What three sensitivities in 1 nm steps, cones or colour-matching functions, catch of a light.

#include <Eigen/Core>

#include "colorimetry/spectrum.h"

namespace isoseam {

using SensitivityRows = Eigen::Ref<const Eigen::MatrixX3d>;  // row i: first_nm + i nm

// The sensitivity at any wavelength: 4-point Lagrange interpolation in log10 of the 1 nm values where all
// four are positive, linear elsewhere. It is exact at whole nanometres and 0 outside the table.
Eigen::Vector3d sensitivity_at_nm(const SensitivityRows& table, int first_nm, double nm);

// The integral of spectrum times sensitivity: trapezoid over the union of the spectrum's grid and the
// table's, inside both ranges; lines count with the sensitivity at their wavelength.
Eigen::Vector3d caught(const Spectrum& spectrum, const SensitivityRows& table, int first_nm);

}  // namespace isoseam
