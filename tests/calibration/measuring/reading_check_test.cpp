#include "calibration/measuring/reading_check.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "calibration/instruments/simulated_instrument.h"
#include "support/rehearsed_measurement.h"

using namespace isoseam;
using Catch::Contains;

namespace {

MeasuringState fresh() {
    PlanOptions options;
    options.warm_up = false;
    return measuring_begun(make_plan(options));
}

ShownPatch white_of(const MeasuringState& state) {
    ShownPatch shown;
    shown.drive = state.plan->watch.drive;
    shown.place = state.plan->watch.place;
    return shown;
}

ShownPatch black_of(const MeasuringState& state) {
    ShownPatch shown = white_of(state);
    shown.drive.fractions.setZero();
    return shown;
}

InstrumentSpectrum light(const ShownPatch& shown) {
    SimulatedInstrument instrument(simulated_screen("additive", ""), 1);
    return std::get<InstrumentSpectrum>(instrument.read(shown));
}

// After black and white were read well.
MeasuringState begun_well() {
    const MeasuringState begun = fresh();
    return after(after(begun, ReadingTaken{"drift.1", 0.0, light(white_of(begun))}),
                 ReadingTaken{"black.before", 5.0, light(black_of(begun))});
}

std::string words_of(const std::optional<ReadingFailure>& failure) {
    return failure ? trouble_word(failure->trouble) + ": " + failure->found + "; " + failure->remedy : "kept";
}

std::string check(const MeasuringState& state, const ShownPatch& shown, const InstrumentSpectrum& spectrum,
                  ReadingUnit unit = ReadingUnit::w_sr_m2_nm) {
    return words_of(reading_fault(state, shown, spectrum, unit));
}

InstrumentSpectrum scaled(InstrumentSpectrum spectrum, double factor) {
    for (double& value : spectrum.values)
        value *= factor;
    return spectrum;
}

}  // namespace

TEST_CASE("good readings are kept, black with its noise below 0 too") {
    const MeasuringState state = begun_well();
    CHECK(check(fresh(), white_of(state), light(white_of(state))) == "kept");
    CHECK(check(state, white_of(state), light(white_of(state))) == "kept");
    for (int reading = 0; reading < 500; ++reading) {
        ShownPatch black = black_of(state);
        black.reading = reading;
        REQUIRE(check(state, black, light(black)) == "kept");
    }
}

TEST_CASE("a spectrum of the wrong form is garbled") {
    const MeasuringState state = fresh();
    const ShownPatch white = white_of(state);
    CHECK_THAT(check(state, white, {{400.0, 500.0}, {1.0}}), Contains("garbled: 1 values on 2 wavelengths"));
    CHECK_THAT(check(state, white, {{400.0, 400.0}, {1.0, 1.0}}), Contains("garbled: 400 nm follows 400 nm"));
    CHECK_THAT(check(state, white, {{400.0, 500.0}, {1.0, std::nan("")}}),
               Contains("garbled: sample 2 is not finite"));
    CHECK_THAT(check(state, white, {{0.38, 0.78}, {1.0, 1.0}}),
               Contains("implausible: wavelengths from 0.38 to 0.78 nm; these look like micrometres"));
}

TEST_CASE("another unit or another instrument is noticed") {
    const MeasuringState state = begun_well();
    const ShownPatch white = white_of(state);
    CHECK_THAT(check(fresh(), white, scaled(light(white), 1e6)), Contains("implausible: white would have") &&
                                                                     Contains("which no screen has") &&
                                                                     Contains("--unit"));
    CHECK(check(fresh(), white, scaled(light(white), 1e6), ReadingUnit::counts) == "kept");
    CHECK_THAT(check(state, white, scaled(light(white), 1000.0)),
               Contains("changed: white reads 1e+03 times what it read before"));
    CHECK_THAT(check(state, white, scaled(light(white), 0.4)), Contains("changed: white reads"));
    InstrumentSpectrum other = light(white);
    other.wavelengths_nm.pop_back();
    other.values.pop_back();
    CHECK_THAT(
        check(state, white, other),
        Contains(
            "changed: 100 wavelengths from 380 to 776 nm, but the readings before have 101 wavelengths from "
            "380 to 780 nm"));
}

TEST_CASE("a lid that is on, light below nothing and a flat top are named") {
    const MeasuringState state = begun_well();
    const ShownPatch white = white_of(state);
    const ShownPatch black = black_of(state);
    CHECK_THAT(check(fresh(), white, scaled(light(white), 0.0)),
               Contains("implausible: white has no light") && Contains("take its lid off"));

    InstrumentSpectrum offset = light(black);
    for (double& value : offset.values)
        value -= 1e-5;
    CHECK_THAT(
        check(state, black, offset),
        Contains("negative: less than no light: the spectrum adds up to") && Contains("dark reading anew"));
    InstrumentSpectrum spike = light(white);
    spike.values[30] = -3e-4;
    CHECK_THAT(check(state, white, spike), Contains("negative: less than no light: -0.0003 at 500 nm"));

    InstrumentSpectrum flat = light(white);
    const double top = 0.8 * *std::max_element(flat.values.begin(), flat.values.end());
    for (double& value : flat.values)
        value = std::min(value, top);
    CHECK(check(state, white, flat) ==
          "kept");  // not brighter than what was read before: a plateau of the light
    CHECK_THAT(check(fresh(), white, flat),
               Contains("saturated: a flat top: ") && Contains("neutral filter"));
}

TEST_CASE("an instrument's range is told for each cone that it leaves something out of") {
    const auto between = [](double first, double last) {
        InstrumentSpectrum flat;
        for (double nm = first; nm <= last; nm += 5.0) {
            flat.wavelengths_nm.push_back(nm);
            flat.values.push_back(0.001);
        }
        return range_advice(flat);
    };
    CHECK(between(380.0, 830.0).empty());
    const std::vector<std::string> narrow = between(430.0, 640.0);
    REQUIRE(narrow.size() == 4);
    CHECK_THAT(narrow[0], Contains("430 to 640 nm leaves out") && Contains("L cones' sensitivity") &&
                              Contains("of their excitation by this screen's white would be missed"));
    CHECK_THAT(narrow[2], Contains("S cones"));
    CHECK_THAT(narrow[3],
               Contains("a calibration needs spectra over 400 to 700 nm; this instrument gives 430 to 640"));
    // An equal-energy light: the share of the excitation is the share of the sensitivity.
    const std::vector<std::string> short_end = between(430.0, 830.0);
    REQUIRE(short_end.size() >= 2);
    double outside = 0.0;
    double missed = 0.0;
    for (const std::string& line : short_end) {
        if (line.find("S cones") != std::string::npos)
            REQUIRE(std::sscanf(line.c_str(),
                                "430 to 830 nm leaves out %lf %% of the S cones' sensitivity; if the light "
                                "went on outside "
                                "as it is at the ends, %lf %%",
                                &outside, &missed) == 2);
    }
    CHECK(outside == Approx(missed).epsilon(0.05));
    CHECK(outside > 5.0);
}

TEST_CASE("no plan begins with black: noise about zero is not taken for less than no light") {
    const PlanKind kind = GENERATE(PlanKind::quick, PlanKind::full, PlanKind::drift);
    const std::string name = GENERATE("additive", "drifting");
    PlanOptions options;
    options.kind = kind;
    options.warm_up = false;
    options.duration_s = 1200.0;
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        CAPTURE(plan_kind_word(kind), name, seed);
        SimulatedInstrument instrument(simulated_screen(name, ""), seed);
        MeasuringState state = measuring_begun(make_plan(options));
        int faults = 0;
        for (MeasuringNext next = next_of(state); std::holds_alternative<ReadNext>(next);
             next = next_of(state)) {
            const auto& read = std::get<ReadNext>(next);
            const ReadingTaken taken = test::taken_by(instrument, state, read);
            faults += reading_fault(state, read.shown, taken.spectrum, ReadingUnit::w_sr_m2_nm) ? 1 : 0;
            state = after(std::move(state), taken);
        }
        CHECK(faults == 0);
    }
}
