#pragma once
// The standard tables that are compiled in. Each stands in tables/*.csv with source, edition and checksum.

#include <Eigen/Core>

#include "colorimetry/colour_types.h"

namespace isoseam {

// Row i belongs to first_nm + i; there is one column for each cone or colour-matching function.
using SensitivityTable = Eigen::MatrixX3d;

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

// Colour-matching functions x, y, z of any of the CIE's observers in 1 nm steps: 360 to 830 nm for CIE 1931
// and CIE 1964, 390 to 830 nm for CIE 170-2:2015.
struct ColourMatchingTable {
    const SensitivityTable& functions;  // lives as long as the program
    int first_nm = 0;
};
ColourMatchingTable colour_matching_table(ColourMatching of);

// The CIE 1951 scotopic luminous efficiency V' of rods, with a peak of 1 at 507 nm, from 380 to 780 nm. Row i
// belongs to kCie1951FirstNm + i.
inline constexpr int kCie1951FirstNm = 380;
const Eigen::VectorXd& cie1951_scotopic_luminous_efficiency();

// The components S0, S1, S2 of daylight (CIE 015:2018) from 300 to 830 nm. Row i belongs to kDaylightFirstNm
// + i kDaylightStepNm.
inline constexpr int kDaylightFirstNm = 300;
inline constexpr int kDaylightStepNm = 10;
const Eigen::MatrixX3d& cie_daylight_components();

}  // namespace isoseam
