#include "calibration/measuring/measured_tables.h"

#include <catch2/catch.hpp>

#include "calibration/instruments/simulated_instrument.h"
#include "support/file_bytes.h"
#include "support/rehearsed_measurement.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using Catch::Contains;

namespace {

struct Measured {
    MeasurementHeader header;
    MeasuringState state;
};

Measured example(PlanKind kind = PlanKind::full) {
    SimulatedInstrument instrument(simulated_screen("drifting", ""), 1);
    Measured measured;
    measured.header.plan.kind = kind;
    measured.header.started_utc = "2026-11-25T16:03:12Z";
    measured.header.screen.name = "DP-1";
    measured.header.screen.width_px = 1920;
    measured.header.screen.height_px = 1080;
    measured.header.screen.refresh_hz = 59.94;
    measured.header.instrument = instrument.record();
    measured.header.warnings = {"an example\nof two lines"};
    measured.state = test::rehearsed(measuring_begun(make_plan(measured.header.plan)), instrument);
    return measured;
}

}  // namespace

TEST_CASE("a measurement becomes a table to fit and a table to verify, that read back to the same values") {
    const test::TemporaryFolder folder;
    const Measured measured = example();
    write_tables(folder.path(), measured.header, measured.state);
    const Readings fit = parse_readings(test::file_bytes(folder.file("readings.csv")), "readings.csv");
    const Readings verification =
        parse_readings(test::file_bytes(folder.file("verification.csv")), "verification.csv");
    CHECK(fit.unit == ReadingUnit::w_sr_m2_nm);
    CHECK(fit.primaries == std::vector<std::string>{"r", "g", "b"});
    CHECK(verification.rows.size() == 48);
    CHECK(fit.details.name == "DP-1");
    CHECK(fit.details.bits == 8);
    CHECK(fit.details.warm_up_s.value_or(0.0) > 60.0);
    CHECK(fit.details.invented);
    CHECK(verification.details.measured_on == Day{2026, 11, 25});
    for (const Reading& row : verification.rows)
        CHECK_THAT(row.step, Catch::StartsWith("verification."));
    std::size_t of_plan = 0;
    std::size_t row = 0;
    for (const KeptReading& kept : measured.state.readings) {
        const PlanStep& step = step_of(*measured.state.plan, kept.step);
        if (kept.step < 0 || kept.set_aside || step.purpose == Purpose::verification)
            continue;
        ++of_plan;
        REQUIRE(row < fit.rows.size());
        REQUIRE(fit.rows[row].values == kept.values);
        REQUIRE(fit.rows[row].drive.fractions == step.drive.fractions);
        REQUIRE(fit.rows[row].step == step.id);
        REQUIRE(fit.rows[row].at_s == kept.at_s);
        REQUIRE(fit.rows[row].place.width == step.place.width);
        ++row;
    }
    CHECK(fit.rows.size() == of_plan);
    CHECK(of_plan > 150);
}

TEST_CASE("the head of a table says what it is of and what is to be told") {
    const test::TemporaryFolder folder;
    Measured measured = example();
    measured.state.steps[3].left_out = "too dark";
    measured.state.steps[4].unsteady = true;
    measured.state.readings[static_cast<std::size_t>(measured.state.steps[5].readings[0])].set_aside = true;
    write_tables(folder.path(), measured.header, measured.state);
    const std::string text = test::file_bytes(folder.file("readings.csv"));
    for (const char* words :
         {"# readings to fit a calibration to: plan 'full', begun 2026-11-25T16:03:12Z\n", "# screen: DP-1\n",
          "# measured on: 2026-11-25\n", "# resolution: 1920x1080\n", "# refresh: 59.94 Hz\n",
          "# invented: yes\n", "# instrument: simulated screen 'drifting', seed 1\n",
          "# NOT FOR DATA: simulated: no light was measured\n", "# gone on with: an example of two lines\n",
          " was left out: too dark\n", " never agreed; all are kept\n", "# 1 of "})
        CHECK_THAT(text, Contains(words));
}

TEST_CASE("a drift plan has nothing to verify") {
    const test::TemporaryFolder folder;
    const Measured measured = example(PlanKind::drift);
    write_tables(folder.path(), measured.header, measured.state);
    CHECK_FALSE(std::filesystem::exists(folder.file("verification.csv")));
    CHECK_THAT(test::file_bytes(folder.file("readings.csv")),
               Contains("# readings of the screen over time, not to be fitted: plan 'drift'") &&
                   Contains("# white drifted by -"));
}
