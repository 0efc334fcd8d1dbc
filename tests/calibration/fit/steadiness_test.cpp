#include "calibration/fit/steadiness.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>

#include "base/random.h"
#include "calibration/fit/sorted_readings.h"
#include "support/error_text.h"

using namespace isoseam;
using Catch::Contains;

namespace {

constexpr double kMinute = 60.0;

Reading reading_of(const Eigen::Vector3d& drive, double light, double at_s) {
    Reading row;
    row.drive.fractions = drive;
    row.values = std::vector<double>(41, 1e-3 * light);
    row.at_s = at_s;
    return row;
}

// Flat spectra: white twice a minute, black, red, green and blue every ten minutes. `white` is the light at a
// time in minutes.
Readings watched(double minutes, const std::function<double(double)>& white, double noise = 0.0) {
    const RandomStream random{5, 902};
    std::uint64_t draw = 0;
    const auto light = [&](double at_min) { return white(at_min) * (1.0 + noise * random.normal(draw++)); };
    Readings readings;
    for (int nm = 380; nm <= 780; nm += 10)
        readings.wavelengths_nm.push_back(nm);
    readings.primaries = {"r", "g", "b"};
    for (int i = 0; 0.5 * i <= minutes; ++i) {
        const double at_min = 0.5 * i;
        readings.rows.push_back(reading_of(Eigen::Vector3d::Ones(), light(at_min), kMinute * at_min));
        if (i % 20 != 0)
            continue;
        readings.rows.push_back(
            reading_of(Eigen::Vector3d::Zero(), 1e-3 * light(at_min), kMinute * at_min + 5.0));
        for (int primary = 0; primary < 3; ++primary)
            readings.rows.push_back(reading_of(Eigen::Vector3d::Unit(primary), light(at_min) / 3.0,
                                               kMinute * at_min + 10.0 + primary));
    }
    return readings;
}

}  // namespace

TEST_CASE("a screen that warms up exponentially has settled when its slope has fallen to the rule") {
    // 6 % too much, falling with a time constant of 5 min: the slope is 1.2 % a minute at first, and 0.1 %
    // after 5 ln 12 = 12.4 min. A straight line over 10 min of it is steeper by 3 (cosh 1 - sinh 1),
    // or 1.104: half a minute later. White is read twice a minute.
    const auto warming = [](double at_min) { return 1.0 + 0.06 * std::exp(-at_min / 5.0); };
    const std::optional<Steadiness> found = steadiness_of(watched(60.0, warming));
    REQUIRE(found);
    CHECK(found->whites == 121);
    CHECK(found->watched_s == 3600.0);
    REQUIRE(found->settled_at_s);
    CHECK(*found->settled_at_s / kMinute == Approx(5.0 * std::log(12.0 * 1.104)).margin(0.8));
    CHECK(found->excess_at_first == Approx(0.06).margin(0.002));
    CHECK(std::abs(found->per_hour.share) < 0.01);
    CHECK(found->black == Approx(0.001).epsilon(0.05));
    CHECK(found->blacks == 7);
    REQUIRE(found->colours.size() == 3);
    for (const Steadiness::Colour& colour : found->colours)
        CHECK(colour.change == Approx(1.0 / 1.06 - 1.0).margin(1e-4));
    CHECK_THAT(steadiness_words(*found).at(0), Contains("White settled to 0.1 % a minute after 13") &&
                                                   Contains("The first reading was +") &&
                                                   Contains(" an hour"));
    // A stricter rule is met later: 0.01 % a minute after 5 ln 120 = 23.9 min.
    CHECK(*steadiness_of(watched(60.0, warming), 0.0001)->settled_at_s / kMinute ==
          Approx(5.0 * std::log(120.0 * 1.104)).margin(0.8));
}

TEST_CASE("a slow drift is found with its uncertainty, whatever the noise") {
    const auto fading = [](double at_min) { return 1.0 - 0.012 * at_min / 60.0; };
    for (const double noise : {0.0, 0.001, 0.003}) {
        CAPTURE(noise);
        const std::optional<Steadiness> found = steadiness_of(watched(120.0, fading, noise));
        REQUIRE(found);
        REQUIRE(found->settled_at_s);
        CHECK(*found->settled_at_s == 0.0);
        CHECK(found->scatter == Approx(noise).epsilon(0.3).margin(1e-9));
        // The mean white is 0.988; four standard errors, and what rounding leaves without noise.
        CHECK(std::abs(found->per_hour.share + 0.012 / 0.988) <= 4.0 * found->per_hour.standard_error + 1e-6);
        CHECK(found->per_hour.standard_error < 0.002);
        CHECK_THAT(steadiness_words(*found).at(0), Contains("from the first reading on") && Contains("-1."));
    }
}

TEST_CASE("a screen that does not settle is not said to, nor one that was watched too briefly") {
    const auto falling = [](double at_min) { return 1.0 - 0.003 * at_min; };
    const std::optional<Steadiness> restless = steadiness_of(watched(60.0, falling, 0.002));
    REQUIRE(restless);
    CHECK_FALSE(restless->settled_at_s);
    // 0.3 % of the first white, which is 1 / 0.91 of the mean.
    CHECK(restless->per_min_at_last.share == Approx(-0.003 / 0.91).margin(0.0008));
    CHECK_THAT(steadiness_words(*restless).at(0), Contains("had not settled to 0.1 % a minute after 60 min"));
    // It fell again at the end.
    const auto relapsing = [](double at_min) { return at_min < 50.0 ? 1.0 : 1.0 - 0.01 * (at_min - 50.0); };
    CHECK_FALSE(steadiness_of(watched(60.0, relapsing))->settled_at_s);

    const std::optional<Steadiness> brief = steadiness_of(watched(5.0, falling));
    REQUIRE(brief);
    CHECK_FALSE(brief->long_enough);
    CHECK_FALSE(brief->settled_at_s);
    CHECK_THAT(steadiness_words(*brief).at(0), Contains("too short") && Contains("10 min at least"));
    CHECK_FALSE(steadiness_of(watched(0.0, falling)));
    CHECK_FALSE(steadiness_of({}));
}

TEST_CASE("noise that is too large leaves it open instead of calling the screen settled") {
    const auto constant = [](double) { return 1.0; };
    const std::optional<Steadiness> noisy = steadiness_of(watched(20.0, constant, 0.1));
    REQUIRE(noisy);
    CHECK_FALSE(noisy->settled_at_s);
}

TEST_CASE("a table over time is not fitted, and the refusal says what such a table is for") {
    const Readings readings =
        watched(60.0, [](double at_min) { return 1.0 + 0.06 * std::exp(-at_min / 5.0); });
    CHECK(follows_over_time(readings));
    const std::string refusal = test::input_error_text([&] { sort_readings(readings, "t.csv"); });
    CHECK_THAT(refusal, Contains("t.csv: these readings follow the screen over time") &&
                            Contains("White settled to 0.1 % a minute after 13") &&
                            Contains("Black is 0.1") && Contains("--plan full"));
    CHECK_THAT(refusal, !Contains("too few"));
    // One more level of each primary, and it is a table to fit, if a poor one.
    Readings poor = readings;
    for (int primary = 0; primary < 3; ++primary)
        poor.rows.push_back(reading_of(0.5 * Eigen::Vector3d::Unit(primary), 0.1, 4000.0));
    CHECK_FALSE(follows_over_time(poor));
    // White alone, without the primaries, is neither.
    Readings greys = readings;
    std::erase_if(greys.rows, [](const Reading& row) { return row.drive.fractions.sum() == 1.0; });
    CHECK_FALSE(follows_over_time(greys));
}
