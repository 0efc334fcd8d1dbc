#include "protocols/procedures/adjustment.h"

#include <fmt/format.h>

#include <array>
#include <cmath>

#include "base/errors.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

constexpr int kMostAxes = 16;
// A start that would be out of gamut is put at this share of the way to the gamut's border. It is far from
// the match, but not on the border, where every step outwards would be refused.
constexpr double kShareOfWayToBorder = 0.99;
// So many bisections find a share in [0, 1] to the last bit of a double.
constexpr int kBisections = 60;

// Where a position lies in the coordinates of the problem's space.
Eigen::VectorXd coordinates_at(const AdjustmentProblem& problem, const Eigen::VectorXd& position) {
    ISOSEAM_CHECK_EQ(position.size(), problem.axes.size());
    Eigen::VectorXd sum = Eigen::VectorXd::Zero(problem.axes.front().direction.size());
    for (std::size_t i = 0; i < problem.axes.size(); ++i)
        sum += position[static_cast<Eigen::Index>(i)] * problem.axes[i].direction;
    return sum;
}

Lms cone_contrast_target(const AdjustmentProblem& problem, const Eigen::VectorXd& contrast) {
    return lms_from_cone_contrast(ConeContrast::from_vector(contrast), problem.predicted);
}

Lms macleod_boynton_target(const AdjustmentProblem& problem, const Eigen::VectorXd& difference) {
    const Observer& observer = problem.solver->observer();
    MacLeodBoynton coordinates = macleod_boynton_from_lms(problem.predicted, observer);
    coordinates.l += difference[0];
    coordinates.s += difference[1];
    // At one chromaticity excitations are proportional to luminance. They are scaled from the predicted
    // luminance, so that positions of zero or negative luminance are defined too and lie out of gamut.
    const Lms at_predicted_luminance = lms_from_macleod_boynton(coordinates, observer);
    return Lms::from_vector((1.0 + difference[2]) * at_predicted_luminance.vector());
}

DriveSolution primaries_solution(const AdjustmentProblem& problem, const Eigen::VectorXd& difference) {
    DriveSolution solution = problem.solver->solve(problem.predicted);
    solution.linear.fractions += difference;
    const Eigen::ArrayXd x = solution.linear.fractions.array();
    solution.gamut_margin = x.min(1.0 - x).minCoeff();
    solution.in_gamut = solution.gamut_margin >= 0.0;
    return solution;
}

// The largest share of the way from the predicted match to `far` that is certainly in gamut. `far` itself is
// out of gamut.
double share_to_border(const AdjustmentProblem& problem, const Eigen::VectorXd& far) {
    double inside = 0.0;
    double outside = 1.0;
    for (int i = 0; i < kBisections; ++i) {
        const double middle = 0.5 * (inside + outside);
        (stimulus_at(problem, middle * far).in_gamut ? inside : outside) = middle;
    }
    double share = kShareOfWayToBorder * inside;
    // A straight line in the space macleod_boynton is curved in excitations and may leave the gamut twice.
    while (!stimulus_at(problem, share * far).in_gamut)
        share *= kShareOfWayToBorder;
    return share;
}

void check_predicted_in_gamut(const AdjustmentProblem& problem) {
    const DriveSolution predicted = problem.solver->solve(problem.predicted);
    if (predicted.in_gamut)
        return;
    throw InputError(
        "reference",
        fmt::format("the predicted match is out of the adjusted half's gamut by {:.3g} of a primary's "
                    "full light",
                    -predicted.gamut_margin),
        "choose a reference that both halves can show");
}

AdjustmentState started_at(const AdjustmentProblem& problem, const Eigen::VectorXd& start) {
    check_predicted_in_gamut(problem);
    AdjustmentState state;
    state.start = start;
    if (!stimulus_at(problem, state.start).in_gamut) {
        state.start_shrunk_to = share_to_border(problem, state.start);
        state.start *= state.start_shrunk_to;
    }
    const std::size_t count = problem.axes.size();
    state.position = state.start;
    state.fine_steps.assign(count, 0);
    state.coarse_steps.assign(count, 0);
    state.path_length.assign(count, 0.0);
    state.refused_steps.assign(count, 0);
    return state;
}

}  // namespace

std::string to_string(AdjustmentSpace space) {
    static constexpr std::array<const char*, 3> kWords{"cone_contrast", "macleod_boynton", "primaries"};
    return kWords.at(static_cast<std::size_t>(space));
}

DriveSolution stimulus_at(const AdjustmentProblem& problem, const Eigen::VectorXd& position) {
    ISOSEAM_CHECK(problem.solver != nullptr && !problem.axes.empty() && problem.axes.size() <= kMostAxes);
    const Eigen::VectorXd coordinates = coordinates_at(problem, position);
    switch (problem.space) {
        case AdjustmentSpace::cone_contrast:
            return problem.solver->solve(cone_contrast_target(problem, coordinates));
        case AdjustmentSpace::macleod_boynton:
            return problem.solver->solve(macleod_boynton_target(problem, coordinates));
        case AdjustmentSpace::primaries:
            break;
    }
    return primaries_solution(problem, coordinates);
}

Lms lms_at(const AdjustmentProblem& problem, const Eigen::VectorXd& position) {
    return problem.solver->lms(stimulus_at(problem, position).linear);
}

AdjustmentState start_adjustment(const AdjustmentProblem& problem, const RandomStream& stream, int trial) {
    ISOSEAM_CHECK(trial >= 0 && !problem.axes.empty() && problem.axes.size() <= kMostAxes);
    Eigen::VectorXd start(static_cast<Eigen::Index>(problem.axes.size()));
    for (std::size_t i = 0; i < problem.axes.size(); ++i) {
        const std::uint64_t index = static_cast<std::uint64_t>(trial) * kMostAxes + i;
        start[static_cast<Eigen::Index>(i)] = (2.0 * stream.uniform(index) - 1.0) * problem.axes[i].start;
    }
    return started_at(problem, start);
}

AdjustmentState start_bracketing_adjustment(const AdjustmentProblem& problem, const RandomStream& stream,
                                            int repeat) {
    ISOSEAM_CHECK(repeat >= 1 && !problem.axes.empty() && problem.axes.size() <= kMostAxes);
    Eigen::VectorXd start(static_cast<Eigen::Index>(problem.axes.size()));
    for (std::size_t i = 0; i < problem.axes.size(); ++i) {
        const bool first_above = stream.below(i, 2) == 1;
        const bool changed = ((static_cast<unsigned>(repeat - 1) >> i) & 1U) == 1U;
        start[static_cast<Eigen::Index>(i)] =
            first_above != changed ? problem.axes[i].start : -problem.axes[i].start;
    }
    return started_at(problem, start);
}

AdjustmentState respond(const AdjustmentProblem& problem, AdjustmentState state,
                        const AdjustmentResponse& response) {
    if (state.accepted || state.timed_out)
        return state;
    ISOSEAM_CHECK_GE(response.elapsed_s, 0.0);
    state.timed_out = problem.time_limit_s && response.elapsed_s > *problem.time_limit_s;
    if (state.timed_out || response.kind == AdjustmentResponse::Kind::waiting)
        return state;
    if (response.kind == AdjustmentResponse::Kind::accept) {
        state.accepted = true;
        return state;
    }
    ISOSEAM_CHECK_GE(response.axis, 0);
    ISOSEAM_CHECK_LT(response.axis, problem.axes.size());
    ISOSEAM_CHECK(response.direction == 1 || response.direction == -1);
    const auto axis = static_cast<std::size_t>(response.axis);
    const AdjustmentAxis& moved = problem.axes[axis];

    AdjustmentState next = state;
    (response.coarse ? next.coarse_steps : next.fine_steps)[axis] += response.direction;
    next.position[response.axis] = next.start[response.axis] +
                                   static_cast<double>(next.fine_steps[axis]) * moved.fine +
                                   static_cast<double>(next.coarse_steps[axis]) * moved.coarse;
    if (!stimulus_at(problem, next.position).in_gamut) {
        ++state.refused_steps[axis];
        return state;
    }
    next.path_length[axis] += response.coarse ? moved.coarse : moved.fine;
    ++next.steps;
    return next;
}

}  // namespace isoseam
