#pragma once
// How much of a pixel a form covers. The shares are exact areas on the unit square around the pixel's centre.

namespace isoseam {

// The share that is covered by the half plane on the negative side of a line. The line lies at this signed
// distance from the pixel's centre, and (normal_x, normal_y) is a unit vector. The share is exactly 0 or 1
// where the line misses the pixel.
double line_coverage(double distance_px, double normal_x, double normal_y);

// The share that a disc around the origin covers of a pixel centred at (x, y). It is exactly 0 or 1 where the
// disc's outline misses the pixel's circumcircle.
double disc_coverage(double x_px, double y_px, double radius_px);

// The share that the interval [-half, half] covers of the unit interval around x. A box covers the product of
// two such shares.
double interval_coverage(double x_px, double half_px);

// A transition of this width (> 0) around an outline, as a function of the distance from the outline. It is 1
// inside, 0 outside, and half a period of a raised cosine between them.
double raised_cosine(double distance_px, double width_px);

}  // namespace isoseam
