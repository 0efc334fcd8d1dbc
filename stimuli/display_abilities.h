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

// A light in the two diagrams; empty where it has none (black without light; a primary that L and M, or CIE
// 1931's y, do not catch).
struct DiagramPoint {
    std::string name;
    std::optional<MacLeodBoynton> macleod_boynton;  // of the solver's observer
    std::optional<UniformChromaticity> uniform;     // CIE 1931 u', v'
};

struct DisplayGamut {
    std::vector<DiagramPoint> primaries;  // each alone, without black, in the calibration's order
    DiagramPoint white;                   // all primaries full, and black
    DiagramPoint black;
    double uv_prime_area = 0.0;  // the area of the smallest convex polygon around the primaries
};
DisplayGamut display_gamut(const DriveSolver& solver);

// Indices of the corners of the smallest convex polygon around the points, anticlockwise; points on its sides
// are left out. At least three points that are not in one line have three or more.
std::vector<std::size_t> convex_outline(const std::vector<Eigen::Vector2d>& points);
double polygon_area(const std::vector<Eigen::Vector2d>& points, const std::vector<std::size_t>& outline);

// The end of the gamut along one direction from a background.
struct LargestContrast {
    std::string direction;  // "L", "M", "S", "L+M+S", "L-M"
    int sign = 1;           // 1, or -1 for the opposite way
    ConeContrast contrast;  // from the background, exact
};
// L, M and S alone; L+M+S, all three alike, which is luminance at constant chromaticity; L-M at constant
// luminance (V_F of the solver's observer) and constant S, see pooled_cardinal_contrast.h. Both signs of
// each. `background` is in gamut (checked), each of its excitations above 0.
std::vector<LargestContrast> largest_contrasts(const DriveSolver& solver, const Lms& background);

// The light of white's chromaticity (CIE 1931) at a share of its luminance. May be out of gamut where black
// is bright or coloured.
DriveSolution grey_of_white(const DriveSolver& solver, double share_of_luminance);

// By how much one code changes each cone. For each cone it is the change by the primary whose code moves that
// cone most, from the code nearest to `background` to a neighbour. `bits` from 1 to 16 need not be those of a
// frame buffer: dither makes more of them. `background` has fractions in [0, 1] (checked).
ConeContrast step_of_one_code(const DriveSolver& solver, const LinearDrive& background, int bits);
// The smallest change of each cone that a frame buffer of 8 or 10 bits shows over a field of 2 degrees: one
// code without dither, a 64th of one with it (see effective_bits in dither.h).
ConeContrast smallest_step(const DriveSolver& solver, const LinearDrive& background, int bits,
                           DitherKind dither);

}  // namespace isoseam
