#pragma once
// These ellipses show how precisely one observer matched colours all over the chromaticity diagram: MacAdam
// 1942, J. Opt. Soc. Am. 32, 247, as tabulated in Wyszecki & Stiles, table 2(5.4.1). They are the ellipses as
// observed, in a field of 2 degrees at about 48 cd/m2 (field and luminance from memory).
//
//     const Eigen::Matrix2d root = covariance_root(nearest_ellipse(0.31, 0.33));

#include <Eigen/Core>
#include <span>

namespace isoseam {

// An ellipse is given in CIE 1931 x, y. The semi-axes are standard deviations of matches along lines through
// the centre.
struct MatchEllipse {
    double x = 0.0;
    double y = 0.0;
    double semi_major = 0.0;
    double semi_minor = 0.0;
    double angle_deg = 0.0;  // of the major axis, from the x axis towards the y axis
};
std::span<const MatchEllipse> macadam_ellipses();
// Gives the ellipse whose centre is nearest in x, y.
const MatchEllipse& nearest_ellipse(double x, double y);

// Gives a root of the covariance of (x, y), which is root * root^T. It belongs to a normal distribution:
// along a given line through the centre, its standard deviation is the ellipse's radius in that direction.
Eigen::Matrix2d covariance_root(const MatchEllipse& ellipse);

}  // namespace isoseam
