#include "stimuli/zonotope.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/errors.h"

namespace isoseam {

namespace {

// Two columns whose cross product is shorter than this share of the product of their lengths point the same
// way, and span no facet.
constexpr double kParallel = 1e-12;

// Calls visit(normal, half_width) for every pair of facets. The facets of a zonotope are spanned by pairs of
// its generators; between the two facets with normal n its width is sum_k |n . a_k|.
template <class Visit>
void for_each_facet_pair(const Eigen::Matrix3Xd& a, Visit&& visit) {
    for (Eigen::Index i = 0; i < a.cols(); ++i) {
        for (Eigen::Index j = i + 1; j < a.cols(); ++j) {
            const Eigen::Vector3d first = a.col(i);
            const Eigen::Vector3d second = a.col(j);
            const Eigen::Vector3d normal = first.cross(second);
            if (normal.norm() > kParallel * first.norm() * second.norm())
                visit(normal, 0.5 * (normal.transpose() * a).cwiseAbs().sum());
        }
    }
}

Eigen::Vector3d centre_of(const Eigen::Matrix3Xd& a) {
    return 0.5 * a.rowwise().sum();
}

// The same solid in coordinates in which A has orthonormal rows: with A^T = Q R, A x = b becomes Q^T x = R^-T
// b. All that follows is then free of units, and the unconstrained solution of smallest norm is Q (R^-T b).
struct Whitened {
    Eigen::MatrixX3d q;
    Eigen::Vector3d b;
};

Whitened whitened(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b) {
    const Eigen::HouseholderQR<Eigen::MatrixX3d> qr(a.transpose());
    const Eigen::Matrix3d r = qr.matrixQR().topRows<3>().triangularView<Eigen::Upper>();
    return {qr.householderQ() * Eigen::MatrixX3d::Identity(a.cols(), 3),
            r.transpose().triangularView<Eigen::Lower>().solve(b)};
}

Eigen::VectorXd clipped(const Eigen::VectorXd& x) {
    return x.cwiseMax(0.0).cwiseMin(1.0);
}

// The dual of "smallest norm in the box": a convex function of y in R^3 whose gradient is Q^T clip(Q y) - b,
// piecewise linear in y. Where the gradient vanishes, x = clip(Q y) solves the problem.
struct Dual {
    const Whitened& problem;
    double value(const Eigen::Vector3d& y) const {
        const Eigen::ArrayXd t = (problem.q * y).array();
        const Eigen::ArrayXd inside = t.max(0.0).min(1.0);
        return (0.5 * inside.square() + (t - 1.0).max(0.0)).sum() - problem.b.dot(y);
    }
    Eigen::Vector3d gradient(const Eigen::Vector3d& y) const {
        return problem.q.transpose() * clipped(problem.q * y) - problem.b;
    }
    Eigen::Matrix3d curvature(const Eigen::Vector3d& y) const {
        const Eigen::ArrayXd t = (problem.q * y).array();
        const Eigen::VectorXd is_free = (t > 0.0 && t < 1.0).cast<double>();
        return problem.q.transpose() * is_free.asDiagonal() * problem.q;
    }
};

// Lengths here are of the whitened solid, which is between 1 and sqrt(16) wide.
constexpr double kSolved = 1e-13;
// What is left of the gradient where the target lies outside the solid by rounding (see kBorderRounding in
// drive_solution.cpp) and no x reaches it exactly.
constexpr double kLargestResidual = 1e-10;
constexpr int kMostSteps = 200;

// Newton's method on the dual. Where too few elements are free the curvature is singular and a little is
// added to it; a step is halved until it lowers the function. The pieces are finitely many, so this ends, in
// practice in under ten steps.
Eigen::Vector3d minimise(const Dual& dual) {
    Eigen::Vector3d y = dual.problem.b;
    Eigen::Vector3d gradient = dual.gradient(y);
    Eigen::Vector3d best = y;
    double smallest = gradient.norm();
    for (int step = 0; step < kMostSteps && smallest > kSolved; ++step) {
        const double ridge = std::min(1e-6, 0.1 * gradient.norm());
        const Eigen::Vector3d direction =
            -(dual.curvature(y) + ridge * Eigen::Matrix3d::Identity()).ldlt().solve(gradient);
        const double slope = gradient.dot(direction);
        const double start = dual.value(y);
        double length = 1.0;
        while (length > 1e-12 && !(dual.value(y + length * direction) <= start + 1e-4 * length * slope))
            length *= 0.5;
        y += length * direction;
        gradient = dual.gradient(y);
        if (gradient.norm() < smallest) {
            smallest = gradient.norm();
            best = y;
        }
    }
    return best;
}

// When it is known which elements are free, these solve a linear system. Solving it removes the error that
// Newton's last step left. The solution is kept only if it stays in the box.
Eigen::VectorXd finished(const Whitened& problem, const Eigen::VectorXd& x) {
    Eigen::MatrixX3d free_rows = problem.q;
    Eigen::VectorXd fixed = x;
    for (Eigen::Index k = 0; k < x.size(); ++k) {
        if (x[k] > 0.0 && x[k] < 1.0)
            fixed[k] = 0.0;
        else
            free_rows.row(k).setZero();
    }
    const Eigen::Vector3d left = problem.b - problem.q.transpose() * fixed;
    const Eigen::VectorXd exact = fixed + free_rows.transpose().completeOrthogonalDecomposition().solve(left);
    const double before = (problem.q.transpose() * x - problem.b).norm();
    const double after = (problem.q.transpose() * clipped(exact) - problem.b).norm();
    return after <= before ? clipped(exact) : x;
}

}  // namespace

Eigen::VectorXd smallest_solution(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b) {
    if (a.cols() == 3)
        return Eigen::Matrix3d(a).partialPivLu().solve(b);
    const Whitened problem = whitened(a, b);
    return problem.q * problem.b;
}

Eigen::VectorXd smallest_solution_in_unit_box(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b) {
    const Whitened problem = whitened(a, b);
    const Eigen::Vector3d y = minimise(Dual{problem});
    const Eigen::VectorXd x = finished(problem, clipped(problem.q * y));
    const double residual = (problem.q.transpose() * x - problem.b).norm();
    ISOSEAM_CHECK_LE(residual, kLargestResidual);
    return x;
}

double zonotope_margin(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b) {
    const Eigen::Vector3d from_centre = b - centre_of(a);
    double largest_share = 0.0;
    for_each_facet_pair(a, [&](const Eigen::Vector3d& normal, double half_width) {
        largest_share = std::max(largest_share, std::abs(normal.dot(from_centre)) / half_width);
    });
    return 0.5 * (1.0 - largest_share);
}

double zonotope_reach(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b, const Eigen::Vector3d& direction) {
    const Eigen::Vector3d from_centre = b - centre_of(a);
    double reach = std::numeric_limits<double>::infinity();
    for_each_facet_pair(a, [&](const Eigen::Vector3d& normal, double half_width) {
        const double speed = normal.dot(direction);
        if (std::abs(speed) <= kParallel * normal.norm() * direction.norm())
            return;  // along the facet, which is then never crossed
        const double to_facet = half_width - std::copysign(1.0, speed) * normal.dot(from_centre);
        reach = std::min(reach, std::max(to_facet, 0.0) / std::abs(speed));
    });
    return reach;
}

}  // namespace isoseam
