#include "colorimetry/macadam_ellipses.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <numbers>

namespace isoseam {
namespace {

// The table's unit of semi-axes.
constexpr double kThousandth = 1e-3;

constexpr double kNumbers[] = {
#include "macadam_1942_ellipses.inc"
};
constexpr std::size_t kColumns = 5;
static_assert(std::size(kNumbers) % kColumns == 0, "every row of the table has the same number of columns");
using Ellipses = std::array<MatchEllipse, std::size(kNumbers) / kColumns>;

Ellipses ellipses() {
    Ellipses all;
    for (std::size_t i = 0; i < all.size(); ++i) {
        const double* row = kNumbers + kColumns * i;
        all[i] = {row[0], row[1], kThousandth * row[2], kThousandth * row[3], row[4]};
    }
    return all;
}

}  // namespace

std::span<const MatchEllipse> macadam_ellipses() {
    static const Ellipses all = ellipses();
    return all;
}

const MatchEllipse& nearest_ellipse(double x, double y) {
    const auto distance = [&](const MatchEllipse& ellipse) {
        return std::hypot(ellipse.x - x, ellipse.y - y);
    };
    const std::span<const MatchEllipse> all = macadam_ellipses();
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
