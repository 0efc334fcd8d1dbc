#include "analysis/statistics/hotelling.h"

#include <gsl/gsl_cdf.h>

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/statistics/scatter.h"
#include "support/seeded_sets.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

struct Sample {
    Eigen::VectorXd mean;
    Eigen::MatrixXd covariance;
};

Sample sample_of(const Eigen::MatrixXd& points) {
    const Eigen::VectorXd mean = points.rowwise().mean();
    const Eigen::MatrixXd centred = points.colwise() - mean;
    return {mean, centred * centred.transpose() / (static_cast<double>(points.cols()) - 1.0)};
}

Eigen::MatrixXd drawn(test::Draws& draws, Eigen::Index dimensions, Eigen::Index count) {
    Eigen::MatrixXd points(dimensions, count);
    for (Eigen::Index i = 0; i < points.size(); ++i)
        points(i) = draws.normal();
    return points;
}

}  // namespace

// GNU Scientific Library for the distributions.
TEST_CASE("in one dimension it is Student's t test, in two the test of the scatter") {
    test::Draws draws(41);
    const Eigen::MatrixXd line = drawn(draws, 1, 7).array() + 0.5;
    const Sample one = sample_of(line);
    const double t = one.mean[0] / std::sqrt(one.covariance(0, 0) / 7.0);
    const std::optional<HotellingTest> test = hotelling_test(one.mean, one.covariance, 7);
    REQUIRE(test);
    CHECK(test->t_squared == Approx(t * t).epsilon(test::kRoundingOfDoubles));
    CHECK(test->p == Approx(2.0 * gsl_cdf_tdist_Q(std::abs(t), 6.0)).epsilon(1e-9));

    const Eigen::MatrixXd plane = drawn(draws, 2, 9).array() + 0.3;
    std::vector<Eigen::Vector2d> points;
    for (Eigen::Index i = 0; i < plane.cols(); ++i)
        points.emplace_back(plane.col(i));
    const Sample two = sample_of(plane);
    const std::optional<HotellingTest> in_plane = hotelling_test(two.mean, two.covariance, 9);
    REQUIRE(in_plane);
    CHECK(in_plane->dimensions == 2);
    CHECK(in_plane->p == Approx(scatter_of(points)->from_origin->p).epsilon(1e-9));
}

TEST_CASE("in three dimensions p does not depend on the axes, and is even where nothing differs") {
    test::Draws draws(42);
    const Eigen::MatrixXd mix = Eigen::Vector3d(1.0, 1e-3, 1e3).asDiagonal() * drawn(draws, 3, 3);
    int below = 0;
    for (int set = 0; set < test::kSets; ++set) {
        const Eigen::MatrixXd points = drawn(draws, 3, 8);
        const Sample plain = sample_of(points);
        const Sample mixed = sample_of(mix * points);
        const std::optional<HotellingTest> test = hotelling_test(plain.mean, plain.covariance, 8);
        const std::optional<HotellingTest> other = hotelling_test(mixed.mean, mixed.covariance, 8);
        REQUIRE(test);
        REQUIRE(other);
        REQUIRE(other->p == Approx(test->p).epsilon(1e-6));
        below += test->p < 0.05 ? 1 : 0;
    }
    INFO(below);
    CHECK(test::covers(test::kSets - below));
}

TEST_CASE("settings too few, or on one line, have no test") {
    test::Draws draws(43);
    const Sample few = sample_of(drawn(draws, 3, 3));
    CHECK_FALSE(hotelling_test(few.mean, few.covariance, 3).has_value());
    Eigen::MatrixXd flat = drawn(draws, 3, 10);
    flat.row(2) = flat.row(0) - 2.0 * flat.row(1);
    const Sample on_plane = sample_of(flat);
    CHECK_FALSE(hotelling_test(on_plane.mean, on_plane.covariance, 10).has_value());
    CHECK(spread_dimensions(on_plane.covariance) == 2);
    CHECK(spread_dimensions(Eigen::MatrixXd::Zero(3, 3)) == 0);
}
