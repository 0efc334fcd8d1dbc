#pragma once
// What a calibrated screen can show an eye: its gamut in chromaticity diagrams, the largest contrasts from a
// background, and what one code changes.

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "stimuli/dither.h"
#include "stimuli/drive_solution.h"

namespace isoseam {

// A light's place in the two diagrams. A place has no value where the light has none in that diagram: black
// that emits nothing, or a primary that L and M, or CIE 1931's y, do not catch.
struct DiagramPoint {
    std::string name;
    std::optional<MacLeodBoynton> macleod_boynton;  // For the solver's observer.
    std::optional<UniformChromaticity> uniform;     // CIE 1931 u', v'
};

struct DisplayGamut {
    std::vector<DiagramPoint> primaries;  // Each one alone and without black, in the calibration's order.
    DiagramPoint white;                   // The light of all full primaries and of black.
    DiagramPoint black;
    double uv_prime_area = 0.0;  // the area of the smallest convex polygon around the primaries
};
DisplayGamut display_gamut(const DriveSolver& solver);

// The indices of the corners of the smallest convex polygon around the points, anticlockwise. Points on its
// sides are left out. Three or more points that are not in one line give at least three corners.
std::vector<std::size_t> convex_outline(const std::vector<Eigen::Vector2d>& points);
double polygon_area(const std::vector<Eigen::Vector2d>& points, const std::vector<std::size_t>& outline);

// The end of the gamut along one direction from a background.
struct LargestContrast {
    std::string direction;  // "L", "M", "S", "L+M+S", "L-M"
    int sign = 1;           // 1, or -1 for the opposite way
    ConeContrast contrast;  // The exact contrast against the background.
};
// The largest contrasts of both signs along five directions: L, M and S alone; L+M+S, where all three change
// alike, which is luminance at constant chromaticity; and L-M at constant luminance (V_F of the solver's
// observer) and constant S, see pooled_cardinal_contrast.h. `background` must be in gamut (checked), and each
// of its excitations must be above 0.
std::vector<LargestContrast> largest_contrasts(const DriveSolver& solver, const Lms& background);

// The light of white's chromaticity (CIE 1931) at a share of its luminance. It may be out of gamut where
// black is bright or coloured.
DriveSolution grey_of_white(const DriveSolver& solver, double share_of_luminance);

// By how much one code changes each cone. For each cone it is the change by the primary whose code moves that
// cone most, from the code nearest to `background` to a neighbour. `bits` from 1 to 16 need not be those of a
// frame buffer: dither makes more of them. `background` has fractions in [0, 1] (checked).
ConeContrast step_of_one_code(const DriveSolver& solver, const LinearDrive& background, int bits);
// The smallest change of each cone that a frame buffer of 8 or 10 bits shows over a field of 2 degrees. It is
// one code without dither, and a 64th of a code with dither (see effective_bits in dither.h).
ConeContrast smallest_step(const DriveSolver& solver, const LinearDrive& background, int bits,
                           DitherKind dither);

}  // namespace isoseam
