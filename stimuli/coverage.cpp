#include "stimuli/coverage.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace isoseam {

namespace {

constexpr double kHalfDiagonalPx = 0.70710678118654757;

// The integral of the circle's height sqrt(r r - x x).
double circle_antiderivative(double x, double radius) {
    const double inside = std::clamp(x / radius, -1.0, 1.0);
    return 0.5 * radius * radius * (inside * std::sqrt(1.0 - inside * inside) + std::asin(inside));
}

}  // namespace

// The line cuts off a triangle where it passes one corner, and a trapezium where it passes between two.
double line_coverage(double distance_px, double normal_x, double normal_y) {
    const double larger = std::max(std::abs(normal_x), std::abs(normal_y));
    const double smaller = std::min(std::abs(normal_x), std::abs(normal_y));
    const double distance = std::abs(distance_px);
    const double beyond_all_corners = 0.5 * (larger + smaller);
    double far_side = 0.0;  // the part that lies on the line's side away from the centre
    if (distance < 0.5 * (larger - smaller)) {
        far_side = 0.5 - distance / larger;
    } else if (distance < beyond_all_corners) {
        far_side =
            (beyond_all_corners - distance) * (beyond_all_corners - distance) / (2.0 * larger * smaller);
    }
    return distance_px > 0.0 ? far_side : 1.0 - far_side;
}

// The height of disc and pixel together, integrated over x piece by piece: within a piece the upper and the
// lower end are each either the pixel's side or the circle.
double disc_coverage(double x_px, double y_px, double radius_px) {
    const double distance = std::sqrt(x_px * x_px + y_px * y_px);
    if (distance >= radius_px + kHalfDiagonalPx)
        return 0.0;
    if (distance <= radius_px - kHalfDiagonalPx)
        return 1.0;
    // Folded into one quadrant, a pixel on an axis keeps its upper right corner farthest out.
    const double left = std::abs(x_px) - 0.5;
    const double right = std::abs(x_px) + 0.5;
    const double lower = std::abs(y_px) - 0.5;
    const double upper = std::abs(y_px) + 0.5;
    const auto crossing = [&](double y) { return std::sqrt(std::max(radius_px * radius_px - y * y, 0.0)); };
    std::array<double, 8> ends{
        left,           right, -radius_px, radius_px, -crossing(upper), crossing(upper), -crossing(lower),
        crossing(lower)};
    for (double& end : ends)
        end = std::clamp(end, left, right);
    std::sort(ends.begin(), ends.end());
    double area = 0.0;
    for (std::size_t i = 0; i + 1 < ends.size(); ++i) {
        const double width = ends[i + 1] - ends[i];
        const double middle = 0.5 * (ends[i] + ends[i + 1]);
        if (!(width > 0.0 && std::abs(middle) < radius_px))
            continue;
        const double circle = crossing(middle);
        if (std::min(upper, circle) <= std::max(lower, -circle))
            continue;
        const double under_circle =
            circle_antiderivative(ends[i + 1], radius_px) - circle_antiderivative(ends[i], radius_px);
        area += (circle < upper ? under_circle : upper * width) -
                (-circle > lower ? -under_circle : lower * width);
    }
    return std::clamp(area, 0.0, 1.0);
}

double interval_coverage(double x_px, double half_px) {
    return std::clamp(std::min(x_px + 0.5, half_px) - std::max(x_px - 0.5, -half_px), 0.0, 1.0);
}

double raised_cosine(double distance_px, double width_px) {
    const double place = std::clamp(distance_px / width_px, -0.5, 0.5);
    if (std::abs(place) == 0.5)
        return place < 0.0 ? 1.0 : 0.0;
    return 0.5 - 0.5 * std::sin(std::numbers::pi * place);
}

}  // namespace isoseam
