#pragma once
// How precisely one observer matched colours all over the chromaticity diagram: MacAdam 1942, J. Opt. Soc.
// Am. 32, 247 (as tabulated in Wyszecki & Stiles, table 2(5.4.1), the ellipses as observed; field of 2
// degrees, luminance about 48 cd/m2: from memory).

#include <Eigen/Core>
#include <span>

namespace isoseam {

// In CIE 1931 x, y. The semi-axes are standard deviations of matches along lines through the centre.
struct MatchEllipse {
    double x = 0.0;
    double y = 0.0;
    double semi_major = 0.0;
    double semi_minor = 0.0;
    double angle_deg = 0.0;  // of the major axis, from the x axis towards the y axis
};
std::span<const MatchEllipse> published_ellipses();
// The one whose centre is nearest in x, y.
const MatchEllipse& nearest_ellipse(double x, double y);

// Of a normal distribution whose standard deviation along a line through the centre, given that line, is
// the ellipse's radius: root * root^T is its covariance of (x, y).
Eigen::Matrix2d covariance_root(const MatchEllipse& ellipse);

}  // namespace isoseam
