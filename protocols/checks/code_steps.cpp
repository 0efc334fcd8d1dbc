#include "protocols/checks/code_steps.h"

#include <cmath>

namespace isoseam {
namespace {

Eigen::VectorXd zero_position(const AdjustmentProblem& problem) {
    return Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem.axes.size()));
}

// The predicted match in linear fractions, and the size of one code there.
struct MatchInCodes {
    Eigen::VectorXd match;     // The match as it was asked for.
    Eigen::VectorXd linear;    // The match as its codes show it.
    Eigen::VectorXd one_code;  // The step from there to the next code of each primary.
};

MatchInCodes match_in_codes(const AdjustmentProblem& problem, int bits) {
    const DisplayModel& display = problem.solver->display();
    MatchInCodes made;
    made.match = stimulus_at(problem, zero_position(problem)).linear.fractions;
    const DriveCode code = code_from_linear({made.match}, display, bits);
    made.linear = linear_from_code(code, display).fractions;
    made.one_code.resize(made.match.size());
    for (Eigen::Index i = 0; i < made.match.size(); ++i) {
        DriveCode next = code;
        std::uint16_t& value = next.values[static_cast<std::size_t>(i)];
        value = static_cast<std::uint16_t>(value + 1 < (1 << bits) ? value + 1 : value - 1);
        made.one_code[i] = std::abs(linear_from_code(next, display).fractions[i] - made.linear[i]);
    }
    return made;
}

}  // namespace

Eigen::Vector3d contrast_of_one_code(const AdjustmentProblem& problem, int bits) {
    const MatchInCodes match = match_in_codes(problem, bits);
    const Eigen::Matrix3Xd slopes = problem.solver->lms_slopes({match.linear});
    Eigen::Vector3d largest = Eigen::Vector3d::Zero();
    for (Eigen::Index i = 0; i < match.one_code.size(); ++i) {
        const Eigen::Vector3d contrast =
            (match.one_code[i] * slopes.col(i)).cwiseQuotient(problem.predicted.vector());
        largest = largest.cwiseMax(contrast.cwiseAbs());
    }
    return largest;
}

double codes_of(const AdjustmentProblem& problem, const Eigen::VectorXd& position, int bits) {
    const MatchInCodes match = match_in_codes(problem, bits);
    const Eigen::VectorXd moved = stimulus_at(problem, position).linear.fractions;
    return (moved - match.match).cwiseAbs().cwiseQuotient(match.one_code).maxCoeff();
}

}  // namespace isoseam
