// Worked examples against the limits' own numbers: WCAG 2.2 (W3C) as told in the reference figures (three
// flashes a second, 0.006 sr or a disc of 5.0 degrees, 10 %, 0.80); the red criteria and ITU-R BT.1702 from
// memory.

#include "stimuli/flash_limits.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "base/errors.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

// Daylight white of sRGB (IEC 61966-2-1), at a luminance.
Xyz grey(double luminance_cd_m2) {
    return {0.9505 * luminance_cd_m2, luminance_cd_m2, 1.0890 * luminance_cd_m2};
}

// The red primary of sRGB at a share of its full light on a screen of 100 cd/m2.
Xyz red(double share) {
    return {41.24 * share, 21.26 * share, 1.93 * share};
}

FlashingArea area_of(std::vector<Xyz> frames, double white_cd_m2 = 100.0, double frames_per_s = 60.0) {
    FlashingArea area;
    area.frames_per_s = frames_per_s;
    area.frames = std::move(frames);
    area.white_cd_m2 = white_cd_m2;
    area.solid_angle_sr = 1.0;
    area.screen_share = 1.0;
    return area;
}

// `seconds` of a then b, half a period each, at 60 frames a second.
FlashingArea alternating(const Xyz& a, const Xyz& b, int frames_per_period, double white_cd_m2 = 100.0,
                         double seconds = 3.0) {
    std::vector<Xyz> frames;
    for (int k = 0; k < static_cast<int>(60.0 * seconds); ++k)
        frames.push_back(k % frames_per_period < frames_per_period / 2 ? a : b);
    return area_of(frames, white_cd_m2);
}

bool within(const FlashingArea& area, std::size_t limit) {
    return flash_verdicts(area)[limit].within;
}

}  // namespace

TEST_CASE("three flashes a second are allowed, four are not") {
    CHECK(count_flashes(alternating(grey(0.0), grey(100.0), 20)).wcag_general == 3);
    CHECK(within(alternating(grey(0.0), grey(100.0), 20), 0));
    const FlashingArea four = alternating(grey(0.0), grey(100.0), 15);
    const FlashVerdict verdict = flash_verdicts(four)[0];
    CHECK(verdict.general_flashes == 4);
    CHECK_FALSE(verdict.within);
    CHECK(verdict.words ==
          "above WCAG 2.2: up to 4 general and 0 red flashes within a second (3 are allowed) on 1 sr (0.006 "
          "are "
          "allowed whatever flashes)");
    CHECK(count_flashes(alternating(grey(0.0), grey(100.0), 2)).wcag_general == 30);
    // A rise alone, or a rise and a fall two seconds apart, is no flash in a second.
    CHECK(count_flashes(alternating(grey(0.0), grey(100.0), 240, 100.0, 4.0)).wcag_general == 0);
}

TEST_CASE("a general flash changes by a tenth of the maximum or more, its darker state below 0.80") {
    const auto flashes = [](double dark, double bright) {
        return count_flashes(alternating(grey(dark), grey(bright), 6)).wcag_general;
    };
    CHECK(flashes(20.0, 30.0) == 10);
    CHECK(flashes(20.0, 29.9) == 0);
    CHECK(flashes(79.9, 99.9) == 10);
    CHECK(flashes(80.0, 100.0) == 0);
}

TEST_CASE("a flash counts however slowly its light rises, and a ripple on it does not count") {
    std::vector<Xyz> sine, rippled;
    for (int k = 0; k < 180; ++k) {
        const double swing = std::sin(2.0 * std::numbers::pi * 5.0 * k / 60.0);
        sine.push_back(grey(50.0 + 40.0 * swing));
        rippled.push_back(grey(50.0 + 40.0 * swing + (k % 2 == 0 ? 4.0 : -4.0)));
    }
    CHECK(count_flashes(area_of(sine)).wcag_general == 5);
    CHECK(count_flashes(area_of(rippled)).wcag_general == 5);
    CHECK(count_flashes(area_of({grey(10.0)})).wcag_general == 0);
}

TEST_CASE("a small area may flash: a disc of 5.0 degrees is the 0.006 sr of WCAG") {
    CHECK(disc_solid_angle_sr(Degrees::from_degrees(5.0)) == Approx(0.006).margin(0.00005));
    CHECK(disc_solid_angle_sr(Degrees::from_degrees(360.0)) ==
          Approx(4.0 * std::numbers::pi).epsilon(test::kFiveDigits));  // a whole sphere
    FlashingArea area = alternating(grey(0.0), grey(100.0), 6);
    area.solid_angle_sr = disc_solid_angle_sr(Degrees::from_degrees(5.0));
    CHECK(within(area, 0));
    CHECK_FALSE(within(area, 1));
    area.screen_share = 0.25;
    CHECK(within(area, 1));
    area.solid_angle_sr = disc_solid_angle_sr(Degrees::from_degrees(5.1));
    CHECK_FALSE(within(area, 0));
}

TEST_CASE("a red flash involves a saturated red and enough of a change") {
    const auto reds = [](const Xyz& a, const Xyz& b) { return count_flashes(alternating(a, b, 6)).wcag_red; };
    CHECK(reds(red(1.0), grey(0.0)) == 10);
    // 320 x 0.0625 is 20, and it must be more.
    CHECK(reds(red(0.0624), grey(0.0)) == 0);
    CHECK(reds(red(0.0630), grey(0.0)) == 10);
    // Half red, half white: R / (R + G + B) is 0.5, no saturated red.
    const Xyz pale = Xyz::from_vector(0.5 * red(1.0).vector() + 0.5 * grey(50.0).vector());
    CHECK(reds(pale, grey(0.0)) == 0);
    // Against a grey of the same luminance: no general flash, and still a red one.
    const FlashCounts equal = count_flashes(alternating(red(1.0), grey(21.26), 6));
    CHECK(equal.wcag_general == 0);
    CHECK(equal.wcag_red == 10);
    CHECK(equal.red_by_chromaticity == 10);
    // So dim that (R - G - B) x 320 changes by 3 only, but 0.25 away in u', v'.
    const FlashCounts dim = count_flashes(alternating(red(0.01), grey(0.5), 6));
    CHECK(dim.wcag_red == 10);
    CHECK_FALSE(within(alternating(red(1.0), grey(21.26), 6), 0));
}

TEST_CASE("BT.1702 counts changes of 20 cd/m2 below 160 cd/m2, and of 1/17 in contrast above") {
    const auto flashes = [](double dark, double bright) {
        return count_flashes(alternating(grey(dark), grey(bright), 6, 400.0)).bt1702_luminance;
    };
    CHECK(flashes(0.0, 20.0) == 10);
    CHECK(flashes(0.0, 19.9) == 0);
    CHECK(flashes(159.0, 179.0) == 10);
    // Both rules meet at 160: 20 / (160 + 180) is 1/17.
    CHECK(flashes(160.0, 180.0) == 10);
    CHECK(flashes(300.0, 330.0) == 0);
    CHECK(flashes(300.0, 338.0) == 10);
}

TEST_CASE("flicker is judged with its ramps and its depth") {
    Flicker flicker;
    flicker.rate = rate_of(FlickerForm::square, 15.0, 60.0);
    FlashingArea area = flashing_area(flicker, 60.0, grey(100.0), grey(0.0), 2.0);
    area.white_cd_m2 = 100.0;
    CHECK(area.frames.size() == 120);
    CHECK(count_flashes(area).wcag_general == 15);
    flicker.depth = 0.09;
    area.frames = flashing_area(flicker, 60.0, grey(100.0), grey(0.0), 2.0).frames;
    CHECK(count_flashes(area).wcag_general == 0);
    flicker.depth = 1.0;
    flicker.onset_frames = 120;
    area.frames = flashing_area(flicker, 60.0, grey(100.0), grey(0.0), 0.5).frames;
    CHECK(count_flashes(area).wcag_general < 7);  // the first frames are too shallow to count
}

TEST_CASE("frames that are no numbers are refused") {
    CHECK_THROWS_AS(count_flashes(area_of({grey(std::nan(""))})), std::logic_error);
    CHECK_THROWS_AS(count_flashes(area_of({})), std::logic_error);
    CHECK_THROWS_AS(count_flashes(area_of({grey(1.0)}, 0.0)), std::logic_error);
}

TEST_CASE("flicker between 3 and 60 Hz is cautioned about") {
    for (const double frequency_hz : {3.0, 15.0, 60.0}) {
        CHECK(seizure_caution(frequency_hz));
    }
    CHECK_FALSE(seizure_caution(2.9));
    CHECK_FALSE(seizure_caution(72.0));
    CHECK_FALSE(seizure_caution(std::nan("")));
    CHECK_THAT(*seizure_caution(15.0), Catch::Contains("15 Hz can trigger seizures") &&
                                           Catch::Contains("stop it at once") &&
                                           Catch::Contains("ethics board"));
}
