#include "calibration/instruments/simulated_instrument.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "colorimetry/colour_space.h"
#include "support/error_text.h"
#include "support/tolerances.h"

using namespace isoseam;
using Catch::Contains;

namespace {

constexpr PatchPlace kPatch{0.5, 0.5, 0.3, 0.3};
const Drive kWhite{Eigen::Vector3d::Ones()};
const Drive kBlack{Eigen::Vector3d::Zero()};

double total(const SimulatedScreen& screen, const Drive& drive, const PatchPlace& place = kPatch,
             double at_s = 0.0, const Drive& surround = {}) {
    return simulated_light(screen, drive, surround, place, at_s).sum();
}

double sum_of_primaries(const SimulatedScreen& screen) {
    double sum = 0.0;
    for (int i = 0; i < 3; ++i)
        sum += total(screen, {Eigen::Vector3d::Unit(i)}) - total(screen, kBlack);
    return sum + total(screen, kBlack);
}

ShownPatch reading_of(const Drive& drive, int reading) {
    ShownPatch shown;
    shown.drive = drive;
    shown.place = kPatch;
    shown.reading = reading;
    return shown;
}

}  // namespace

TEST_CASE("the additive screen is a plausible one, and its white is the sum of its primaries") {
    const SimulatedScreen screen = simulated_screen("additive", "");
    const Eigen::VectorXd white = simulated_light(screen, kWhite, {}, kPatch, 0.0);
    const XyY xyy = xyy_from_xyz(
        tristimulus(Spectrum::from_radiance_w_sr_m2_nm(screen.wavelengths_nm, {white.begin(), white.end()})));
    CHECK(xyy.luminance_cd_m2 > 80.0);
    CHECK(xyy.luminance_cd_m2 < 200.0);
    CHECK(xyy.chromaticity.x == Approx(0.31).margin(0.04));
    CHECK(xyy.chromaticity.y == Approx(0.33).margin(0.04));
    CHECK(sum_of_primaries(screen) == Approx(total(screen, kWhite)).epsilon(1e-12));
}

TEST_CASE("each fault of a simulated screen does what its name says, by as much as it says") {
    SimulatedScreen interaction = simulated_screen("interaction", "");
    interaction.black.setZero();
    CHECK(total(interaction, kWhite) == Approx(0.97 * sum_of_primaries(interaction)).epsilon(1e-12));

    const SimulatedScreen dimming = simulated_screen("dimming", "");
    const double small = total(dimming, kWhite, {0.5, 0.5, 0.1, 0.1}) - dimming.black.sum();
    CHECK(total(dimming, kWhite, {0.5, 0.5, 1.0, 1.0}) - dimming.black.sum() ==
          Approx(0.8 * small).epsilon(test::kFiveDigits));
    // A white surround dims a small patch as a white screen would.
    CHECK(total(dimming, kWhite, {0.5, 0.5, 0.1, 0.1}, 0.0, kWhite) ==
          Approx(total(dimming, kWhite, {0.5, 0.5, 1.0, 1.0})).epsilon(test::kFiveDigits));

    const SimulatedScreen drifting = simulated_screen("drifting", "");
    CHECK(total(drifting, kWhite, kPatch, 0.0) ==
          Approx(1.06 * total(simulated_screen("additive", ""), kWhite)).epsilon(test::kFiveDigits));
    CHECK(total(drifting, kWhite, kPatch, 3600.0) ==
          Approx(1.004 * total(simulated_screen("additive", ""), kWhite)).epsilon(1e-5));
    CHECK(total(drifting, kWhite, {0.0, 1.0, 0.0, 0.0}) / total(drifting, kWhite) ==
          Approx(0.92).epsilon(1e-9));
}

TEST_CASE("drives are rounded to the frame buffer's codes") {
    SimulatedScreen screen = simulated_screen("additive", "");
    screen.bits = 8;
    const auto at = [&](double drive) { return total(screen, {Eigen::Vector3d::Constant(drive)}); };
    CHECK(at(128.4 / 255.0) == at(128.0 / 255.0));
    CHECK(at(128.6 / 255.0) == at(129.0 / 255.0));
}

TEST_CASE(
    "the noise of a reading depends on the seed and on which reading it is, and has the SD that was set") {
    SimulatedScreen screen = simulated_screen("additive", "");
    screen.sample_noise = 0.0;
    screen.floor_noise = 0.0;
    screen.gain_noise = 0.002;
    SimulatedInstrument instrument(screen, 5);
    SimulatedInstrument same(screen, 5);
    SimulatedInstrument other(screen, 6);
    const auto values = [](SimulatedInstrument& from, int reading) {
        return std::get<InstrumentSpectrum>(from.read(reading_of(kWhite, reading))).values;
    };
    CHECK(values(instrument, 3) == values(same, 3));
    CHECK(values(instrument, 3) != values(instrument, 4));
    CHECK(values(instrument, 3) != values(other, 3));
    const double truth = simulated_light(screen, kWhite, {}, kPatch, 0.0)[50];
    double squares = 0.0;
    constexpr int kReadings = 2000;
    for (int i = 0; i < kReadings; ++i)
        squares += std::pow(values(instrument, i)[50] / truth - 1.0, 2);
    // The SD of an SD from n normal draws is SD / sqrt(2 n): 4 of them, 1 seed in 16,000 would fail.
    const double sd = std::sqrt(squares / kReadings);
    CHECK(sd == Approx(0.002).epsilon(4.0 / std::sqrt(2.0 * kReadings)));
}

TEST_CASE("black reads a little below nothing at times, and a simulated reading is not for data") {
    SimulatedInstrument instrument(simulated_screen("additive", ""), 1);
    const auto black = std::get<InstrumentSpectrum>(instrument.read(reading_of(kBlack, 0)));
    CHECK(*std::min_element(black.values.begin(), black.values.end()) < 0.0);
    CHECK(instrument.record().not_for_data == "simulated: no light was measured");
    CHECK(instrument.record().description == "simulated screen 'additive', seed 1");
    CHECK_THAT(
        test::input_error_text([] { simulated_screen("oled", "--simulated"); }),
        Contains("--simulated: there is no simulated screen 'oled'; write one of: additive, interaction, "
                 "dimming, drifting"));
}
