#include "stimuli/coverage.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "base/random.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

constexpr std::uint32_t kStreamCoverage = 1004;
constexpr int kSamples = 400;  // a side
// A line through a square of n x n samples leaves at most some 2 n of them in doubt, half of which are wrong.
constexpr double kSamplingError = 1.0 / kSamples;

// The share of the pixel around (x, y) in which `holds`, by counting.
template <class Holds>
double counted(double x, double y, const Holds& holds) {
    int inside = 0;
    for (int i = 0; i < kSamples; ++i) {
        for (int j = 0; j < kSamples; ++j) {
            if (holds(x - 0.5 + (i + 0.5) / kSamples, y - 0.5 + (j + 0.5) / kSamples))
                ++inside;
        }
    }
    return static_cast<double>(inside) / (kSamples * kSamples);
}

}  // namespace

TEST_CASE("a line covers the area that it cuts off") {
    const RandomStream random{1, kStreamCoverage};
    for (std::uint64_t i = 0; i < 60; ++i) {
        const double angle = 2.0 * std::numbers::pi * random.uniform(2 * i);
        const double distance = 1.6 * (random.uniform(2 * i + 1) - 0.5);
        const double normal_x = std::cos(angle);
        const double normal_y = std::sin(angle);
        CAPTURE(angle, distance);
        // A point's side: its distance to the line is that of the middle plus its offset along the normal.
        const double expected = counted(
            0.0, 0.0, [&](double x, double y) { return distance + normal_x * x + normal_y * y < 0.0; });
        CHECK(std::abs(line_coverage(distance, normal_x, normal_y) - expected) <= kSamplingError);
    }
    // By plane geometry: upright, and cutting a triangle off one corner.
    CHECK(line_coverage(0.25, 1.0, 0.0) == 0.25);
    CHECK(line_coverage(-0.5, 0.0, -1.0) == 1.0);
    CHECK(line_coverage(0.5, std::sqrt(0.5), std::sqrt(0.5)) ==
          Approx(std::pow(std::sqrt(0.5) - 0.5, 2.0)).epsilon(test::kRoundingOfDoubles));
    CHECK(line_coverage(0.71, std::sqrt(0.5), std::sqrt(0.5)) == 0.0);
}

TEST_CASE("a disc covers the area that it cuts out, however small") {
    const RandomStream random{2, kStreamCoverage};
    for (std::uint64_t i = 0; i < 60; ++i) {
        const double radius = std::pow(10.0, 3.0 * random.uniform(3 * i) - 0.6);
        const double angle = 2.0 * std::numbers::pi * random.uniform(3 * i + 1);
        const double distance = std::max(radius + 1.8 * (random.uniform(3 * i + 2) - 0.5), 0.0);
        const double x = distance * std::cos(angle);
        const double y = distance * std::sin(angle);
        CAPTURE(radius, x, y);
        const double expected =
            counted(x, y, [&](double at_x, double at_y) { return std::hypot(at_x, at_y) < radius; });
        CHECK(std::abs(disc_coverage(x, y, radius) - expected) <= kSamplingError);
    }
    for (const double radius : {0.3, 2.0, 70.25, 500.0}) {
        double area = 0.0;
        const int reach = static_cast<int>(radius) + 2;
        for (int y = -reach; y <= reach; ++y) {
            for (int x = -reach; x <= reach; ++x)
                area += disc_coverage(x + 0.2, y - 0.4, radius);
        }
        CHECK(area == Approx(std::numbers::pi * radius * radius).epsilon(1e-10));
    }
}

TEST_CASE("a raised cosine falls by half a period over its width") {
    CHECK(raised_cosine(-3.0, 6.0) == 1.0);
    CHECK(raised_cosine(0.0, 6.0) == 0.5);
    CHECK(raised_cosine(1.0, 6.0) ==
          Approx(0.5 * (1.0 + std::cos(std::numbers::pi * 4.0 / 6.0))).epsilon(test::kRoundingOfDoubles));
    CHECK(raised_cosine(3.0, 6.0) == 0.0);
}
