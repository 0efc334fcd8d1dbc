#include "runner/rehearsal/published_ellipses.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace isoseam {
namespace {

// The table's unit of semi-axes.
constexpr double kThousandth = 1e-3;

// x, y, semi-axes in thousandths, angle; tests hold each row against tests/published/.
constexpr std::array<std::array<double, 5>, 25> kRows{
    {{0.16, 0.057, 0.85, 0.35, 62.5}, {0.187, 0.118, 2.2, 0.55, 77},   {0.253, 0.125, 2.5, 0.5, 55.5},
     {0.15, 0.68, 9.6, 2.3, 105},     {0.131, 0.521, 4.7, 2, 112.5},   {0.212, 0.55, 5.8, 2.3, 100},
     {0.258, 0.45, 5, 2, 92},         {0.152, 0.365, 3.8, 1.9, 110},   {0.28, 0.385, 4, 1.5, 75.5},
     {0.38, 0.498, 4.4, 1.2, 70},     {0.16, 0.2, 2.1, 0.95, 104},     {0.228, 0.25, 3.1, 0.9, 72},
     {0.305, 0.323, 2.3, 0.9, 58},    {0.385, 0.393, 3.8, 1.6, 65.5},  {0.472, 0.399, 3.2, 1.4, 51},
     {0.527, 0.35, 2.6, 1.3, 20},     {0.475, 0.3, 2.9, 1.1, 28.5},    {0.51, 0.236, 2.4, 1.2, 29.5},
     {0.596, 0.283, 2.6, 1.3, 13},    {0.344, 0.284, 2.3, 0.9, 60},    {0.39, 0.237, 2.5, 1, 47},
     {0.441, 0.198, 2.8, 0.95, 34.5}, {0.278, 0.223, 2.4, 0.55, 57.5}, {0.3, 0.163, 2.9, 0.6, 54},
     {0.365, 0.153, 3.6, 0.95, 40}}};

std::array<MatchEllipse, kRows.size()> ellipses() {
    std::array<MatchEllipse, kRows.size()> all;
    std::transform(kRows.begin(), kRows.end(), all.begin(), [](const std::array<double, 5>& row) {
        return MatchEllipse{row[0], row[1], kThousandth * row[2], kThousandth * row[3], row[4]};
    });
    return all;
}

}  // namespace

std::span<const MatchEllipse> published_ellipses() {
    static const std::array<MatchEllipse, kRows.size()> all = ellipses();
    return all;
}

const MatchEllipse& nearest_ellipse(double x, double y) {
    const auto distance = [&](const MatchEllipse& ellipse) {
        return std::hypot(ellipse.x - x, ellipse.y - y);
    };
    const std::span<const MatchEllipse> all = published_ellipses();
    return *std::min_element(all.begin(), all.end(), [&](const MatchEllipse& a, const MatchEllipse& b) {
        return distance(a) < distance(b);
    });
}

Eigen::Matrix2d covariance_root(const MatchEllipse& ellipse) {
    const double angle = ellipse.angle_deg * std::numbers::pi / 180.0;
    Eigen::Matrix2d root;
    root << ellipse.semi_major * std::cos(angle), -ellipse.semi_minor * std::sin(angle),
        ellipse.semi_major * std::sin(angle), ellipse.semi_minor * std::cos(angle);
    return root;
}

}  // namespace isoseam
