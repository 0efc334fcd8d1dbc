#include "colorimetry/macadam_ellipses.h"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>

#include "support/published_table.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("the ellipses are those that were published, row by row") {
    // MacAdam 1942, J. Opt. Soc. Am. 32, 247; Wyszecki & Stiles table 2(5.4.1): a second copy.
    const PublishedRows rows = published_table("macadam_1942_ellipses.csv");
    REQUIRE(rows.size() == macadam_ellipses().size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const MatchEllipse& ellipse = macadam_ellipses()[i];
        INFO("row " << i + 1);
        CHECK(ellipse.x == rows[i][0]);
        CHECK(ellipse.y == rows[i][1]);
        CHECK(ellipse.semi_major == Approx(1e-3 * rows[i][2]).epsilon(1e-14));
        CHECK(ellipse.semi_minor == Approx(1e-3 * rows[i][3]).epsilon(1e-14));
        CHECK(ellipse.angle_deg == rows[i][4]);
        // The fitted ellipses of the same table are much the same: a digit gone wrong would show.
        CHECK(ellipse.semi_major == Approx(1e-3 * rows[i][5]).epsilon(0.15));
        CHECK(ellipse.semi_minor == Approx(1e-3 * rows[i][6]).epsilon(0.35));
        CHECK(std::abs(ellipse.angle_deg - rows[i][7]) < 9.0);
    }
}

TEST_CASE(
    "the nearest centre is found, and the radius along a line through it is the standard deviation there") {
    CHECK(nearest_ellipse(0.31, 0.33).x == 0.305);
    CHECK(nearest_ellipse(0.16, 0.06).y == 0.057);
    CHECK(nearest_ellipse(0.55, 0.35).x == 0.527);
    const MatchEllipse& ellipse = nearest_ellipse(0.305, 0.323);
    const Eigen::Matrix2d root = covariance_root(ellipse);
    const Eigen::Matrix2d precision = (root * root.transpose()).inverse();
    const auto radius = [&](double angle_deg) {
        const double angle = angle_deg * std::acos(-1.0) / 180.0;
        const Eigen::Vector2d along(std::cos(angle), std::sin(angle));
        return 1.0 / std::sqrt(along.dot(precision * along));
    };
    CHECK(radius(58.0) == Approx(0.0023).epsilon(test::kRoundingOfDoubles));
    CHECK(radius(148.0) == Approx(0.0009).epsilon(test::kRoundingOfDoubles));
    CHECK(radius(90.0) < radius(60.0));
    CHECK(radius(90.0) > radius(120.0));
}
