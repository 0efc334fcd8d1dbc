#pragma once
// The gamut of N primaries as a solid: the zonotope { A x : 0 <= x <= 1 } of the columns of A, and the drives
// that reach a point of it. Pure linear algebra; what the three coordinates mean is the caller's business.

#include <Eigen/Core>

namespace isoseam {

// The x of smallest Euclidean norm with A x = b. Three independent columns have no other x.
Eigen::VectorXd smallest_solution(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b);

// The x of smallest Euclidean norm with A x = b and every element in [0, 1]. b must lie in the zonotope, or
// outside by rounding alone (checked: the residual stays below 1e-10 of the solid's size).
Eigen::VectorXd smallest_solution_in_unit_box(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b);

// The largest t such that b = A x with every element of x in [t, 1 - t]; negative outside the zonotope.
double zonotope_margin(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b);

// The largest s >= 0 such that b + s direction lies in the zonotope, for b inside it; infinite for a zero
// direction.
double zonotope_reach(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b, const Eigen::Vector3d& direction);

}  // namespace isoseam
