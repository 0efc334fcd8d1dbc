#pragma once
// How much of a pixel a form covers: exact areas on the unit square around the pixel's centre.

namespace isoseam {

// Of the half plane on the negative side of a line at this signed distance from the pixel's centre;
// (normal_x, normal_y) is a unit vector. Exactly 0 or 1 where the line misses the pixel.
double line_coverage(double distance_px, double normal_x, double normal_y);

// Of a disc around the origin, for a pixel centred at (x, y). Exactly 0 or 1 where its outline misses the
// pixel's circumcircle.
double disc_coverage(double x_px, double y_px, double radius_px);

// Of the interval [-half, half] on the unit interval around x. A box covers the product of two.
double interval_coverage(double x_px, double half_px);

// A transition of this width (> 0) around an outline, by distance from it: 1 inside, 0 outside, half a period
// of a raised cosine between them.
double raised_cosine(double distance_px, double width_px);

}  // namespace isoseam
