#pragma once
// From wanted excitations to what drives a screen, for one observer and one calibration.
//
//     const DriveSolver solver(display, observer);
//     const DriveSolution solution = solver.solve(target);
//     if (solution.in_gamut)
//         show(code_from_linear(solution.linear, display, 10));

#include <cstdint>
#include <optional>
#include <vector>

#include "calibration/display_model.h"
#include "calibration/interaction_model.h"
#include "colorimetry/colour_types.h"
#include "colorimetry/observer.h"

namespace isoseam {

// Integers for the frame buffer, one per primary, 0 .. 2^bits - 1.
struct DriveCode {
    std::vector<std::uint16_t> values;
    int bits = 8;
    friend bool operator==(const DriveCode&, const DriveCode&) = default;
};

struct DriveSolution {
    // The exact solution. Out of gamut it is the unconstrained one of smallest norm; for a screen whose
    // primaries do not add up it is the point at which InteractionInverse comes to rest.
    LinearDrive linear;
    bool in_gamut = false;  // 0 <= every fraction <= 1
    // The largest t such that the target can be reached with every linear fraction in [t, 1 - t]: 0.5 in the
    // middle of the gamut, 0 on its border, negative outside. For three primaries min over primaries of
    // min(x, 1 - x).
    double gamut_margin = 0.0;
};

// Solves targets on one calibration for one observer. Three primaries have one solution, which takes less
// than a microsecond. For more primaries it is the solution of smallest Euclidean norm among those with all
// fractions in [0, 1]. Screens with interactions are solved by InteractionInverse, to its kTolerance. A
// solver is immutable.
class DriveSolver {
  public:
    // Throws InputError when the primaries' excitations are nearly dependent (condition number above
    // kLargestConditionNumber), or for interactions that have no inverse (see has_inverse()).
    DriveSolver(const DisplayModel& display, const Observer& observer);

    DriveSolution solve(const Lms& target) const;  // black is accounted for
    DriveSolution solve(const Xyz& target) const;  // CIE 1931, for lights that an instrument reads
    Lms lms(const LinearDrive& linear) const;      // black included
    // The spectrum with which this screen realises a target, signed where out of gamut (see LightContext).
    Spectrum spectrum(const Lms& target) const;
    Spectrum spectrum(const Xyz& target) const;

    const DisplayModel& display() const { return display_; }
    const Observer& observer() const { return observer_; }
    // Columns are primaries, each alone; black and interactions not included.
    const Eigen::Matrix3Xd& lms_from_linear() const { return lms_from_linear_; }
    // How the excitations change with each primary's linear light at a point: lms_from_linear, and what
    // interactions add there.
    Eigen::Matrix3Xd lms_slopes(const LinearDrive& linear) const;
    const Eigen::Vector3d& lms_black() const { return lms_black_; }

  private:
    DisplayModel display_;
    Observer observer_;
    Eigen::Matrix3Xd lms_from_linear_;
    Eigen::Vector3d lms_black_;
    // Only a screen with interactions has these.
    std::optional<InteractionInverse> lms_inverse_, xyz_inverse_;
};

// The general problem behind it: x with `target_from_linear` x = b. Exposed for tests.
DriveSolution solve_linear_drive(const Eigen::Matrix3Xd& target_from_linear, const Eigen::Vector3d& wanted);

// The nearest code to the drive of an in-gamut solution (linear fractions within [0, 1], checked; bits 8 or
// 10).
DriveCode code_from_linear(const LinearDrive& linear, const DisplayModel& display, int bits);
LinearDrive linear_from_code(const DriveCode& code, const DisplayModel& display);

// How far one can go from an in-gamut `from` along `direction` (excitations) before the gamut ends; >= 0, may
// be infinite for a zero direction. On a screen with interactions it is the way to the first border. That
// border is looked for in steps of 1/256 of the way from the middle to the border of the gamut that the
// screen would have without interactions.
double reach_in_gamut(const DriveSolver& solver, const Lms& from, const Eigen::Vector3d& direction);

}  // namespace isoseam
