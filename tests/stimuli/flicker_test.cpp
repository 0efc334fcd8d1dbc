#include "stimuli/flicker.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <numbers>

#include "support/error_text.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr double kRounding = 1e-14;  // of some hundred sums of numbers up to 1

Flicker flicker_of(FlickerForm form, int frames) {
    Flicker flicker;
    flicker.rate = {form, frames};
    return flicker;
}

// Amplitude of a component of the light that a screen emits, each frame held until the next, against light A
// alone; by the integral over each frame.
double held_amplitude(const Flicker& flicker, int harmonic) {
    const int n = flicker.rate.frames_per_period;
    std::complex<double> sum;
    const std::complex<double> i(0.0, 1.0);
    const double turn = 2.0 * std::numbers::pi * harmonic / n;
    for (int k = 0; k < n; ++k) {
        const double swing = 2.0 * flicker_frame(flicker, k).halves[0].a - 1.0;
        sum += swing * (std::exp(-i * turn * (k + 1.0)) - std::exp(-i * turn * static_cast<double>(k))) /
               (-i * turn);
    }
    return 2.0 * std::abs(sum) / n;
}

}  // namespace

TEST_CASE("the mean light over any whole period at full depth is the mean of both lights") {
    for (const FlickerForm form : {FlickerForm::square, FlickerForm::sine}) {
        for (int n = 2; n <= 61; ++n) {
            if (form == FlickerForm::square ? n % 2 != 0 : n < kFewestSineFrames)
                continue;
            for (const Exchange exchange : {Exchange::lights, Exchange::halves}) {
                Flicker flicker = flicker_of(form, n);
                flicker.exchange = exchange;
                flicker.onset_frames = 30;
                check_flicker(flicker);
                for (const int from : {30, 31, 47, 1000}) {
                    double first = 0.0, second = 0.0;
                    for (int k = from; k < from + n; ++k) {
                        const FrameWeights weights = flicker_frame(flicker, k);
                        first += weights.halves[0].a;
                        second += weights.halves[1].a;
                        REQUIRE(weights.halves[0].a + weights.halves[0].b == Approx(1.0).margin(kRounding));
                        REQUIRE(weights.halves[0].a >= 0.0);
                        REQUIRE(weights.halves[0].b >= 0.0);
                    }
                    REQUIRE(first / n == Approx(0.5).margin(kRounding));
                    REQUIRE(second / n == Approx(0.5).margin(kRounding));
                }
            }
        }
    }
}

TEST_CASE("a square shows A for half the frames, then B, and exchanged halves are each other's opposite") {
    Flicker flicker = flicker_of(FlickerForm::square, 6);
    flicker.exchange = Exchange::halves;
    for (int k = 0; k < 24; ++k) {
        const FrameWeights weights = flicker_frame(flicker, k);
        CHECK(weights.halves[0].a == (k % 6 < 3 ? 1.0 : 0.0));
        CHECK(weights.halves[1].b == weights.halves[0].a);
    }
}

TEST_CASE("a frame follows from its number alone, however it is reached") {
    Flicker flicker = flicker_of(FlickerForm::sine, 7);
    flicker.onset_frames = 20;
    flicker.offset_frames = 20;
    flicker.end_frame = 200;
    const double once = flicker_frame(flicker, 111).halves[0].a;
    for (int k = 300; k >= 0; --k)
        static_cast<void>(flicker_frame(flicker, k));
    CHECK(flicker_frame(flicker, 111).halves[0].a == once);
    CHECK(flicker_frame(flicker, 111 + 7 * 1'000'000'000'000).halves[0].a == 0.5);  // after its end
    flicker.end_frame.reset();
    CHECK(flicker_frame(flicker, 111 + 7 * 1'000'000'000'000).halves[0].a == once);
}

// Fourier analysis of what a screen emits that holds each frame (general signal theory).
TEST_CASE("a held sine is weaker by sin(x)/x, and its first other component lies n - 1 times as high") {
    for (const int n : {4, 5, 6, 8, 12}) {
        const Flicker flicker = flicker_of(FlickerForm::sine, n);
        CHECK(held_amplitude(flicker, 1) == Approx(fundamental_share(flicker.rate)).margin(1e-12));
        for (int harmonic = 2; harmonic < n - 1; ++harmonic)
            CHECK(held_amplitude(flicker, harmonic) == Approx(0.0).margin(1e-12));
        CHECK(held_amplitude(flicker, n - 1) ==
              Approx(fundamental_share(flicker.rate) / (n - 1)).margin(1e-12));
    }
    CHECK(fundamental_share({FlickerForm::sine, 4}) == Approx(0.900316).margin(1e-6));
    for (const int n : {2, 4, 10})
        CHECK(held_amplitude(flicker_of(FlickerForm::square, n), 1) ==
              Approx(4.0 / std::numbers::pi).margin(1e-12));
}

TEST_CASE("onset and offset rise and fall without a jump, and the mean shows outside") {
    Flicker flicker = flicker_of(FlickerForm::square, 2);
    flicker.depth = 0.8;
    flicker.onset_frames = 60;
    flicker.offset_frames = 30;
    flicker.end_frame = 300;
    check_flicker(flicker);
    // A raised cosine of N frames changes by at most pi / 2N of the depth from one to the next.
    const double steepest = 0.8 * std::numbers::pi / (2.0 * 30.0);
    double before = 0.0;
    for (int k = 0; k <= 300; ++k) {
        const double depth = flicker_depth(flicker, k);
        REQUIRE(std::abs(depth - before) <= steepest);
        if (k < 60)
            REQUIRE(depth > before);
        if (k >= 60 && k < 270)
            REQUIRE(depth == 0.8);
        if (k >= 271)
            REQUIRE(depth < before);
        before = depth;
    }
    CHECK(flicker_depth(flicker, 29) + flicker_depth(flicker, 30) ==
          Approx(0.8).epsilon(test::kRoundingOfDoubles));  // half way up in the middle
    CHECK(flicker_frame(flicker, 300).halves[0].a == 0.5);
    CHECK(flicker_frame(flicker, -1).halves[0].a == 0.5);
}

TEST_CASE("flicker that is asked to end goes through its offset, once its onset is over") {
    Flicker flicker = flicker_of(FlickerForm::square, 4);
    flicker.onset_frames = 10;
    flicker.offset_frames = 5;
    CHECK(ending_from(flicker, 100).end_frame == 105);
    CHECK(ending_from(flicker, 3).end_frame == 15);
    flicker.end_frame = 102;
    CHECK(ending_from(flicker, 100).end_frame == 102);
}

TEST_CASE("only whole frames make exact frequencies, and a wish for another is told the nearest") {
    CHECK(rate_of(FlickerForm::square, 15.0, 60.0).frames_per_period == 4);
    CHECK(rate_of(FlickerForm::square, 30.0, 60.0).frames_per_period == 2);
    CHECK(rate_of(FlickerForm::sine, 8.57143, 60.0).frames_per_period == 7);  // 60 / 7 with six digits
    CHECK(rate_of(FlickerForm::sine, 60.0, 240.0).frames_per_period == 4);
    CHECK_THAT(input_error_text([] { rate_of(FlickerForm::square, 12.0, 60.0); }),
               Catch::Contains("frequency") && Catch::Contains("60 Hz cannot show square flicker of 12 Hz") &&
                   Catch::Contains("10 Hz (6 frames a period) and 15 Hz (4 frames a period)"));
    CHECK_THAT(input_error_text([] { rate_of(FlickerForm::square, 40.0, 60.0); }),
               Catch::Contains("the fastest is 30 Hz (2 frames a period)"));
    CHECK_THAT(input_error_text([] { rate_of(FlickerForm::sine, 20.0, 60.0); }),  // three frames a period
               Catch::Contains("the fastest is 15 Hz (4 frames a period)"));
    CHECK_THAT(input_error_text([] { rate_of(FlickerForm::sine, 1e-5, 60.0); }), Catch::Contains("too slow"));
    for (int tenth = 10; tenth < 700; ++tenth) {
        const double wanted_hz = tenth / 10.0;
        const NearestRates rates = nearest_rates(FlickerForm::square, wanted_hz, 59.94);
        REQUIRE(rates.below);
        const int below = rates.below->frames_per_period;
        if (!rates.above) {
            CHECK(below == 2);
            CHECK(wanted_hz > 59.94 / 2);
            continue;
        }
        CHECK(rates.below->frequency_hz(59.94) <= wanted_hz * (1.0 + kSameFrequencyShare));
        CHECK(rates.above->frequency_hz(59.94) >= wanted_hz * (1.0 - kSameFrequencyShare));
        CHECK(below - rates.above->frames_per_period <= 2);
    }
}

TEST_CASE("all faults of a flicker are told at once") {
    Flicker flicker = flicker_of(FlickerForm::square, 5);
    flicker.depth = std::nan("");
    flicker.onset_frames = -1;
    const std::string text = input_error_text([&] { check_flicker(flicker); });
    CHECK_THAT(text, Catch::Contains("a square of 5 frames a period") &&
                         Catch::Contains("two equal halves") && Catch::Contains("a depth of nan") &&
                         Catch::Contains("an onset of -1 frames"));
    flicker = flicker_of(FlickerForm::sine, 3);
    CHECK_THAT(input_error_text([&] { check_flicker(flicker); }), Catch::Contains("take at least 4"));
    flicker = flicker_of(FlickerForm::sine, 4);
    flicker.onset_frames = 50;
    flicker.offset_frames = 50;
    flicker.end_frame = 99;
    CHECK_THAT(input_error_text([&] { check_flicker(flicker); }),
               Catch::Contains("99 frames, of which onset and offset take 100"));
}
