#pragma once
// The standard tables that are compiled in. Each stands in tables/*.csv with source, edition and checksum.

#include <Eigen/Core>

namespace isoseam {

using SensitivityTable =
    Eigen::MatrixX3d;  // row i: first_nm + i; one column per cone or colour-matching function

// CIE 170-1:2006, 390 to 830 nm in 1 nm steps.
struct ObserverComponents {
    SensitivityTable log10_absorbance;       // L, M, S, low density, peak 0; S is NaN above 615 nm
    Eigen::VectorXd ocular_density_32y;      // lens and other ocular media at 32 years
    Eigen::VectorXd ocular_density_ageless;  // the part of it that does not change with age
    Eigen::VectorXd macular_density_2deg;    // 0.35 at 460 nm
};
const ObserverComponents& cie170_components();

// The published fundamentals for 2 or 10 degrees, 32 years: L, M, S, energy-based, peak 1; 390 to 830 nm.
const SensitivityTable& cie170_cone_fundamentals_2deg();
const SensitivityTable& cie170_cone_fundamentals_10deg();

// CIE 1931 colour-matching functions x, y, z; 360 to 830 nm.
inline constexpr int kCie1931FirstNm = 360;
const SensitivityTable& cie1931_colour_matching_functions();

}  // namespace isoseam
