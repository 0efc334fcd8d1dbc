#pragma once
// Finds what drives a screen to wanted excitations, for one observer and one calibration.
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

// Whole numbers for the frame buffer, one for each primary, from 0 to 2^bits - 1.
struct DriveCode {
    std::vector<std::uint16_t> values;
    int bits = 8;
    friend bool operator==(const DriveCode&, const DriveCode&) = default;
};

struct DriveSolution {
    // The exact solution. Out of gamut it is the unconstrained one of smallest norm. For a screen whose
    // primaries do not add up, it is then the point at which InteractionInverse comes to rest.
    LinearDrive linear;
    bool in_gamut = false;  // 0 <= every fraction <= 1
    // The largest t such that the target can be reached with every linear fraction in [t, 1 - t]. It is 0.5
    // in the middle of the gamut, 0 on its border and negative outside. For three primaries with the
    // fractions x it is the smallest min(x, 1 - x).
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

    // The targets and lms() include the screen's black. The target Xyz is CIE 1931, for lights that an
    // instrument reads.
    DriveSolution solve(const Lms& target) const;
    DriveSolution solve(const Xyz& target) const;
    Lms lms(const LinearDrive& linear) const;
    // The spectrum with which this screen realises a target. Out of gamut it has negative parts (see
    // LightContext).
    Spectrum spectrum(const Lms& target) const;
    Spectrum spectrum(const Xyz& target) const;

    const DisplayModel& display() const { return display_; }
    const Observer& observer() const { return observer_; }
    // The columns are the primaries, each alone, without black and interactions.
    const Eigen::Matrix3Xd& lms_from_linear() const { return lms_from_linear_; }
    // How the excitations change with each primary's linear light at a point. This is lms_from_linear() plus
    // what interactions add at that point.
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

// Solves the general problem behind the solver: x with `target_from_linear` x = `wanted`. It is public for
// tests.
DriveSolution solve_linear_drive(const Eigen::Matrix3Xd& target_from_linear, const Eigen::Vector3d& wanted);

// The nearest code to the drive of a solution that is in gamut. The linear fractions must lie within [0, 1]
// (checked), and `bits` is 8 or 10.
DriveCode code_from_linear(const LinearDrive& linear, const DisplayModel& display, int bits);
LinearDrive linear_from_code(const DriveCode& code, const DisplayModel& display);

// How far one can go from `from`, which is in gamut, along `direction` (in excitations) before the gamut
// ends. The result is at least 0, and may be infinite for a zero direction. On a screen with interactions it
// is the way to the first border. That border is looked for in steps of 1/256 of the way from the middle to
// the border of the gamut that the screen would have without interactions.
double reach_in_gamut(const DriveSolver& solver, const Lms& from, const Eigen::Vector3d& direction);

}  // namespace isoseam
