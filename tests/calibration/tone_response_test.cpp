#include "calibration/tone_response.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "base/errors.h"
#include "base/random.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

// Promised by the header. One unit in the last place of a drive moves light by at most 3 * 1024 * 1.1e-16.
constexpr double kInverseTolerance = 1e-12;

struct Points {
    std::vector<double> drive, linear;
};

// 3 to 40 points. Steps of drive and of light vary independently over two to five decades, so that flat
// stretches stand beside steep ones.
Points random_points(std::uint64_t seed) {
    const RandomStream random{seed, 900};
    std::uint64_t draw = 0;
    const auto rising = [&](std::uint64_t count, double decades, double least_share) {
        std::vector<double> values{0.0};
        for (std::uint64_t i = 1; i < count; ++i)
            values.push_back(values.back() + least_share + std::pow(10.0, -decades * random.uniform(draw++)));
        const double sum = values.back();
        for (double& value : values)
            value /= sum;
        values.back() = 1.0;
        return values;
    };
    const std::uint64_t count = 3 + random.below(draw++, 38);
    return {rising(count, 2.0, 0.05), rising(count, 5.0, 0.0)};
}

std::string refusal(const std::vector<double>& drive, const std::vector<double>& linear) {
    try {
        ToneResponse::points(drive, linear);
    } catch (const InputError& error) {
        return error.what();
    }
    return "accepted";
}

void check_inverse(const ToneResponse& tone, double x) {
    const double drive = tone.drive_from_linear(x);
    REQUIRE((drive >= 0.0 && drive <= 1.0));
    const double miss = std::abs(tone.linear_from_drive(drive) - x);
    CAPTURE(x, drive, miss);
    REQUIRE(miss <= kInverseTolerance);
}

}  // namespace

TEST_CASE("random monotone data: met at its points, strictly monotone between them, inverted exactly") {
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        CAPTURE(seed);
        const Points data = random_points(seed);
        const ToneResponse tone = ToneResponse::points(data.drive, data.linear);
        REQUIRE(tone.linear_from_drive(0.0) == 0.0);
        REQUIRE(tone.linear_from_drive(1.0) == 1.0);
        REQUIRE(tone.drive_from_linear(0.0) == 0.0);
        REQUIRE(tone.drive_from_linear(1.0) == 1.0);
        for (std::size_t i = 0; i < data.drive.size(); ++i)
            REQUIRE(tone.linear_from_drive(data.drive[i]) == data.linear[i]);
        int last_code_that_rises = 0;
        while (last_code_that_rises < 4095 && tone.linear_from_drive((last_code_that_rises + 1) / 4095.0) >
                                                  tone.linear_from_drive(last_code_that_rises / 4095.0))
            ++last_code_that_rises;
        REQUIRE(last_code_that_rises == 4095);
        const RandomStream random{seed, 901};
        for (std::uint64_t i = 0; i < 100; ++i) {
            check_inverse(tone, random.uniform(2 * i));
            check_inverse(tone, std::pow(10.0, -12.0 * random.uniform(2 * i + 1)));  // near black
        }
    }
}

TEST_CASE("the steepest data that is allowed is still inverted") {
    const double step = ToneResponse::kLeastDriveStep;
    const ToneResponse tone = ToneResponse::points({0.0, 0.5 - step, 0.5, 1.0}, {0.0, 1e-9, 1.0 - 1e-9, 1.0});
    for (int i = 0; i <= 1000; ++i)
        check_inverse(tone, i / 1000.0);
}

TEST_CASE("samples of smooth curves are followed between the points") {
    const int points = 17;
    for (const double exponent : {1.0, 1.8, 2.2, 2.4}) {
        std::vector<double> drive;
        std::vector<double> linear;
        for (int i = 0; i < points; ++i) {
            drive.push_back(i / (points - 1.0));
            linear.push_back(std::pow(drive.back(), exponent));
        }
        const ToneResponse tone = ToneResponse::points(drive, linear);
        double worst = 0.0;
        for (int i = 0; i <= 1600; ++i)
            worst = std::max(worst,
                             std::abs(tone.linear_from_drive(i / 1600.0) - std::pow(i / 1600.0, exponent)));
        CAPTURE(exponent, worst);
        // Broken lines through the same points miss a square by step^2 / 4 = 1e-3, so cubics must do far
        // better; at 0 these powers have no second derivative, which is where most of the miss lies.
        CHECK(worst <= (exponent == 1.0 ? 1e-15 : 3e-4));
    }
}

TEST_CASE("flat stretches do not overshoot") {
    // A parabola or a free cubic spline leaves [0.5, 0.500001] here (Fritsch & Carlson 1980 is about such
    // data).
    const ToneResponse tone = ToneResponse::points({0.0, 0.4, 0.6, 1.0}, {0.0, 0.5, 0.500001, 1.0});
    for (int i = 0; i <= 100; ++i) {
        const double linear = tone.linear_from_drive(0.4 + 0.2 * i / 100.0);
        CHECK((linear >= 0.5 && linear <= 0.500001));
    }
}

TEST_CASE("a power of the drive and its inverse") {
    for (const double exponent : {0.1, 0.45, 1.0, 2.2, 10.0}) {
        const ToneResponse tone = ToneResponse::power(exponent);
        CHECK(tone.is_power());
        CHECK(tone.linear_from_drive(0.0) == 0.0);
        CHECK(tone.linear_from_drive(1.0) == 1.0);
        for (int i = 0; i <= 1000; ++i)
            check_inverse(tone, i / 1000.0);
    }
    CHECK(ToneResponse::power(2.0).linear_from_drive(0.5) == 0.25);
    CHECK_THROWS_WITH(ToneResponse::power(0.05), "tone exponent 0.05; write an exponent from 0.1 to 10");
    CHECK_THROWS_AS(ToneResponse::power(std::nan("")), InputError);
}

TEST_CASE("points that do not rise from 0 to 1 are refused, each by its number") {
    CHECK(refusal({0.0, 0.5, 0.4, 1.0}, {0.0, 0.3, 0.3, 1.0}) ==
          "column 3: drive: drive 0.4 follows drive 0.5; let the drives rise, by at least 1/1024 from point "
          "to point\n"
          "column 3: light: light 0.3 at drive 0.4 does not rise above 0.3 at drive 0.5; measure these "
          "points again, or "
          "leave one of them out, so that light rises with drive");
    CHECK(refusal({0.0, 0.5, 1.0}, {0.01, 0.3, 0.9}) ==
          "column 1: light: the first light is 0.01; let drive and light both run from 0 to 1 (black "
          "subtracted, divided "
          "by the light at full drive)\n"
          "column 3: light: the last light is 0.9; let drive and light both run from 0 to 1 (black "
          "subtracted, divided "
          "by the light at full drive)");
    CHECK(refusal({0.0, 1.0}, {0.0, 1.0}).find("2 drives and 2 lights") != std::string::npos);
    CHECK(refusal({0.0, 0.5, 1.0}, {0.0, 1.0}).find("3 drives and 2 lights") != std::string::npos);
    CHECK(refusal({0.0, std::nan(""), 1.0}, {0.0, 0.5, 1.0}) != "accepted");
    CHECK(refusal({0.0, 0.5, 1.0}, {0.0, std::nan(""), 1.0}) != "accepted");
}

TEST_CASE("arguments outside 0 to 1 are a broken invariant, not a number") {
    for (const ToneResponse& tone :
         {ToneResponse::power(2.2), ToneResponse::points({0.0, 0.5, 1.0}, {0.0, 0.2, 1.0})}) {
        for (const double wrong : {-1e-9, 1.0 + 1e-9, std::nan("")}) {
            CHECK_THROWS_AS(tone.linear_from_drive(wrong), std::logic_error);
            CHECK_THROWS_AS(tone.drive_from_linear(wrong), std::logic_error);
        }
    }
}

namespace {

// Every parameter anywhere in its range; nothing when the combination is refused.
std::vector<ToneResponse> random_curves(ToneForm form, int count) {
    const RandomStream random{static_cast<std::uint64_t>(form), 908};
    std::uint64_t draw = 0;
    const auto within = [&](double lowest, double highest) {
        return lowest + (highest - lowest) * random.uniform(draw++);
    };
    const auto exponent = [&] { return std::pow(10.0, within(-1.0, 1.0)); };
    std::vector<ToneResponse> curves;
    for (int i = 0; i < count; ++i) {
        std::vector<double> parameters;
        if (form == ToneForm::gain_offset_gamma) {
            parameters = {i % 10 == 0 ? 0.0 : within(0.0, 0.9), exponent()};
        } else if (form == ToneForm::offset_power) {
            const double power = within(1.01, 10.0);
            parameters = {i % 10 == 0 ? 0.0 : within(0.0, std::min(1.0, 0.999 * (power - 1.0))), power};
        } else {
            const double rise = exponent();
            const double knee = std::pow(10.0, within(-3.0, 3.0));
            const double bend = std::min(20.0, within(0.0, rise - 0.05) * (1.0 + knee));
            parameters = {rise, std::max(0.0, bend), knee};
        }
        curves.push_back(ToneResponse::of_form(form, parameters));
    }
    return curves;
}

std::string refusal_of(ToneForm form, const std::vector<double>& parameters) {
    try {
        ToneResponse::of_form(form, parameters);
    } catch (const InputError& error) {
        return error.what();
    }
    return "accepted";
}

}  // namespace

TEST_CASE("every form runs from 0 to 1, rises strictly, and is inverted exactly") {
    for (const ToneForm form : {ToneForm::gain_offset_gamma, ToneForm::offset_power, ToneForm::s_shaped}) {
        for (const ToneResponse& tone : random_curves(form, 300)) {
            CAPTURE(to_string(form), tone.parameters());
            REQUIRE(tone.form() == form);
            REQUIRE(tone.linear_from_drive(0.0) == 0.0);
            REQUIRE(tone.linear_from_drive(1.0) == 1.0);
            REQUIRE(tone.drive_from_linear(0.0) == 0.0);
            REQUIRE(tone.drive_from_linear(1.0) == 1.0);
            double before = tone.linear_from_drive(1.0 / 1023.0);
            for (int code = 2; code <= 1023; ++code) {
                const double light = tone.linear_from_drive(code / 1023.0);
                // Steep curves begin below what a sum with 1 can tell apart.
                REQUIRE((light > before || light < 1e-15));
                before = light;
            }
            const RandomStream random{11, 909};
            for (std::uint64_t i = 0; i < 100; ++i) {
                check_inverse(tone, random.uniform(2 * i));
                check_inverse(tone, std::pow(10.0, -12.0 * random.uniform(2 * i + 1)));  // near black
            }
        }
    }
}

TEST_CASE("the offset-power form with 0.055 and 2.4 is the curve of IEC 61966-2-1") {
    const ToneResponse tone = ToneResponse::of_form(ToneForm::offset_power, {0.055, 2.4});
    // The standard's own joint, 0.04045, is rounded; its line has the slope 1 / 12.92.
    constexpr double kRoundingOfTheStandard = 1e-6;
    for (const double drive : {0.01, 0.03, 0.039})
        CHECK(tone.linear_from_drive(drive) == Approx(drive / 12.92).margin(kRoundingOfTheStandard));
    for (const double drive : {0.05, 0.5, 0.9})
        CHECK(tone.linear_from_drive(drive) ==
              Approx(std::pow((drive + 0.055) / 1.055, 2.4)).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("a gain-offset-gamma without offset and an S without bend are power laws") {
    const ToneResponse power = ToneResponse::power(2.2);
    const ToneResponse gain = ToneResponse::of_form(ToneForm::gain_offset_gamma, {0.0, 2.2});
    const ToneResponse straight = ToneResponse::of_form(ToneForm::s_shaped, {2.2, 0.0, 1.0});
    for (const double drive : {0.001, 0.2, 0.7}) {
        CHECK(gain.linear_from_drive(drive) ==
              Approx(power.linear_from_drive(drive)).epsilon(test::kRoundingOfDoubles));
        CHECK(straight.linear_from_drive(drive) ==
              Approx(power.linear_from_drive(drive)).epsilon(test::kRoundingOfDoubles));
    }
}

TEST_CASE("parameters that give no rising curve are refused") {
    CHECK(refusal_of(ToneForm::gain_offset_gamma, {-0.01, 11.0}) ==
          "offset: tone offset -0.01; write offset from 0 to 0.9\n"
          "exponent: tone exponent 11; write exponent from 0.1 to 10");
    CHECK(refusal_of(ToneForm::offset_power, {0.5, 1.4}) ==
          "offset: tone offset 0.5 with exponent 1.4; write an offset below the exponent less 1, so that the "
          "curve "
          "begins below full drive");
    CHECK(refusal_of(ToneForm::s_shaped, {2.0, 4.0, 1.0}) ==
          "bend: with rise 2, bend 4 and knee 1 light falls before full drive; write a smaller bend or a "
          "larger knee");
    CHECK(refusal_of(ToneForm::s_shaped, {std::nan(""), 1.0, 1.0}) ==
          "rise: tone rise nan; write rise from 0.1 to 10");
}
