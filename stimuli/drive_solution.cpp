#include "stimuli/drive_solution.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/errors.h"
#include "stimuli/zonotope.h"

namespace isoseam {

namespace {

// A target on the border of the gamut, computed in double precision, comes out up to this far on either side
// of it (the condition number times the machine's rounding). It counts as in gamut, with a margin of 0.
constexpr double kBorderRounding = 1e-12;
// The most that bringing such a border solution into [0, 1] may move a fraction; more would be clipping.
constexpr double kLargestSnap = 1e-9;

void snap_to_unit_range(Eigen::VectorXd& fractions) {
    for (double& fraction : fractions) {
        const double snapped = std::clamp(fraction, 0.0, 1.0);
        ISOSEAM_CHECK(std::abs(snapped - fraction) <= kLargestSnap,
                      fmt::format("fraction {} of a target in gamut", fraction));
        fraction = snapped;
    }
}

// This is as exact as the inverse of interactions is.
constexpr double kInverseRounding = InteractionInverse::kTolerance;

double margin_of_unique_solution(const Eigen::VectorXd& fractions) {
    return std::min(fractions.minCoeff(), 1.0 - fractions.maxCoeff());
}

DriveSolution solve_interacting(const InteractionInverse& inverse, const Eigen::Vector3d& target) {
    ISOSEAM_CHECK(target.allFinite(), fmt::format("target = {}, {}, {}", target[0], target[1], target[2]));
    DriveSolution solution;
    solution.linear.fractions = inverse.rest_point(target);
    solution.gamut_margin = margin_of_unique_solution(solution.linear.fractions);
    solution.in_gamut = solution.gamut_margin >= -kInverseRounding;
    if (solution.in_gamut) {
        solution.gamut_margin = std::max(solution.gamut_margin, 0.0);
        snap_to_unit_range(solution.linear.fractions);
    }
    return solution;
}

// The way to the first border, which is looked for between each two of `kPoints` points.
double reach_by_search(const DriveSolver& solver, const Eigen::Vector3d& from,
                       const Eigen::Vector3d& direction, double guess) {
    constexpr int kPoints = 256;
    constexpr int kHalvings = 60;
    const auto inside = [&](double share) {
        return solver.solve(Lms::from_vector(from + share * direction)).in_gamut;
    };
    const double step = guess / kPoints;
    if (!(step > 0.0))
        return 0.0;
    double last_inside = 0.0;
    for (int i = 1; inside(last_inside + step); ++i)
        last_inside = i * step;
    double outside = last_inside + step;
    for (int i = 0; i < kHalvings; ++i) {
        const double middle = 0.5 * (last_inside + outside);
        (inside(middle) ? last_inside : outside) = middle;
    }
    return last_inside;
}

}  // namespace

DriveSolution solve_linear_drive(const Eigen::Matrix3Xd& target_from_linear, const Eigen::Vector3d& wanted) {
    ISOSEAM_CHECK_GE(target_from_linear.cols(), 3);
    ISOSEAM_CHECK(target_from_linear.allFinite());
    ISOSEAM_CHECK(wanted.allFinite(), fmt::format("wanted = {}, {}, {}", wanted[0], wanted[1], wanted[2]));
    const bool unique = target_from_linear.cols() == 3;
    DriveSolution solution;
    solution.linear.fractions = smallest_solution(target_from_linear, wanted);
    solution.gamut_margin = unique ? margin_of_unique_solution(solution.linear.fractions)
                                   : zonotope_margin(target_from_linear, wanted);
    ISOSEAM_CHECK(std::isfinite(solution.gamut_margin));
    solution.in_gamut = solution.gamut_margin >= -kBorderRounding;
    if (solution.in_gamut) {
        solution.gamut_margin = std::max(solution.gamut_margin, 0.0);
        if (!unique)
            solution.linear.fractions = smallest_solution_in_unit_box(target_from_linear, wanted);
        snap_to_unit_range(solution.linear.fractions);
    }
    return solution;
}

DriveSolver::DriveSolver(const DisplayModel& display, const Observer& observer)
    : display_(display),
      observer_(observer),
      lms_from_linear_(display.lms_from_linear(observer)),
      lms_black_(display.black_lms(observer).vector()) {
    const double condition = display.condition_number(observer);
    if (!(condition <= kLargestConditionNumber)) {
        throw InputError(Fault{
            display.calibration().file, 0, 0, "primaries",
            fmt::format("for {} the primaries excite the cones in nearly dependent ways (condition number "
                        "{:.3g}, at most "
                        "{:.0f} will do)",
                        observer.description(), condition, kLargestConditionNumber),
            "use a screen with three primaries that this observer can tell apart, or measure it again"});
    }
    if (!display.additive()) {
        if (!has_inverse(display, observer)) {
            throw InputError(Fault{display.calibration().file, 0, 0, "interactions",
                                   fmt::format("for {} no drives can be computed for wanted lights: the "
                                               "interactions of the primaries are too strong",
                                               observer.description()),
                                   "use another screen, or another picture mode of this one"});
        }
        lms_inverse_ = InteractionInverse::of_lms(display, observer);
        xyz_inverse_ = InteractionInverse::of_xyz(display);
    }
}

DriveSolution DriveSolver::solve(const Lms& target) const {
    if (lms_inverse_)
        return solve_interacting(*lms_inverse_, target.vector());
    return solve_linear_drive(lms_from_linear_, target.vector() - lms_black_);
}

DriveSolution DriveSolver::solve(const Xyz& target) const {
    if (xyz_inverse_)
        return solve_interacting(*xyz_inverse_, target.vector());
    return solve_linear_drive(display_.xyz_from_linear(), target.vector() - display_.black_xyz().vector());
}

Lms DriveSolver::lms(const LinearDrive& linear) const {
    ISOSEAM_CHECK(linear.fractions.size() == lms_from_linear_.cols());
    if (lms_inverse_)
        return Lms::from_vector(lms_inverse_->response(linear.fractions));
    return Lms::from_vector(lms_black_ + lms_from_linear_ * linear.fractions);
}

Eigen::Matrix3Xd DriveSolver::lms_slopes(const LinearDrive& linear) const {
    ISOSEAM_CHECK(linear.fractions.size() == lms_from_linear_.cols());
    return lms_inverse_ ? Eigen::Matrix3Xd(lms_inverse_->slopes(linear.fractions)) : lms_from_linear_;
}

Spectrum DriveSolver::spectrum(const Lms& target) const {
    return display_.spectrum(solve(target).linear);
}

Spectrum DriveSolver::spectrum(const Xyz& target) const {
    return display_.spectrum(solve(target).linear);
}

DriveCode code_from_linear(const LinearDrive& linear, const DisplayModel& display, int bits) {
    ISOSEAM_CHECK(bits == 8 || bits == 10, fmt::format("bits = {}", bits));
    const double full = static_cast<double>((1 << bits) - 1);
    const Drive drive = display.drive_from_linear(linear);
    DriveCode code{{}, bits};
    code.values.reserve(static_cast<std::size_t>(drive.fractions.size()));
    for (const double fraction : drive.fractions)
        code.values.push_back(static_cast<std::uint16_t>(std::lround(fraction * full)));
    return code;
}

LinearDrive linear_from_code(const DriveCode& code, const DisplayModel& display) {
    ISOSEAM_CHECK(code.bits == 8 || code.bits == 10, fmt::format("bits = {}", code.bits));
    ISOSEAM_CHECK(static_cast<int>(code.values.size()) == display.primary_count());
    const double full = static_cast<double>((1 << code.bits) - 1);
    Drive drive{Eigen::VectorXd(display.primary_count())};
    for (int k = 0; k < display.primary_count(); ++k)
        drive.fractions[k] = code.values[static_cast<std::size_t>(k)] / full;
    return display.linear_from_drive(drive);
}

double reach_in_gamut(const DriveSolver& solver, const Lms& from, const Eigen::Vector3d& direction) {
    ISOSEAM_CHECK(direction.allFinite());
    ISOSEAM_CHECK(solver.solve(from).in_gamut);
    const Eigen::Vector3d& black = solver.lms_black();
    if (solver.display().additive())
        return zonotope_reach(solver.lms_from_linear(), from.vector() - black, direction);
    if (direction.isZero(0.0))
        return std::numeric_limits<double>::infinity();
    const Eigen::Vector3d middle = 0.5 * solver.lms_from_linear().rowwise().sum();
    return reach_by_search(solver, from.vector(), direction,
                           zonotope_reach(solver.lms_from_linear(), middle, direction));
}

}  // namespace isoseam
