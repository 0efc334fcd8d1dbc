#include "calibration/measuring/measured_tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/append_file.h"

namespace isoseam {
namespace {

// A drift that is told: as large as this, and more than noise makes of the difference of two readings.
constexpr double kWorthTelling = 0.005;
constexpr double kSdsWorthTelling = 4.0;

std::string one_line(std::string words) {
    std::replace(words.begin(), words.end(), '\n', ' ');
    return words;
}

// What the calibration made of these readings must know of how they came about.
ScreenDetails details_of(const MeasurementHeader& header, const MeasuringState& state) {
    const ScreenShown& screen = header.screen;
    ScreenDetails details;
    details.measured_on = parse_day(header.started_utc.substr(0, std::string_view("2026-11-20").size()));
    details.measured_with = one_line(header.instrument.description);
    const bool was_shown = screen.width_px > 0;
    if (was_shown) {
        details.name = one_line(screen.name);
        details.width_px = screen.width_px;
        details.height_px = screen.height_px;
        details.bits = screen.bits;
        if (screen.refresh_hz > 0.0)
            details.refresh_hz = screen.refresh_hz;
    }
    const auto first = std::find_if(state.readings.begin(), state.readings.end(),
                                    [](const KeptReading& kept) { return kept.step >= 0; });
    if (header.plan.warm_up && first != state.readings.end())
        details.warm_up_s = std::round(first->at_s);
    details.invented =
        header.instrument.kind == "simulated" || (header.instrument.looks_at_screen && !was_shown);
    details.estimated = header.instrument.kind == "typed";
    return details;
}

Readings readings_where(const MeasuringState& state, ReadingUnit unit, bool verification) {
    Readings readings;
    readings.wavelengths_nm = state.wavelengths_nm;
    readings.unit = unit;
    readings.primaries = state.plan->options.primaries;
    for (const KeptReading& kept : state.readings) {
        if (kept.step < 0 || kept.set_aside)
            continue;
        const PlanStep& step = step_of(*state.plan, kept.step);
        if ((step.purpose == Purpose::verification) != verification)
            continue;
        Reading row;
        row.drive = step.drive;
        row.values = kept.values;
        row.place = step.place;
        row.at_s = kept.at_s;
        row.step = step.id;
        readings.rows.push_back(std::move(row));
    }
    return readings;
}

std::string comment(const std::string& words) {
    return fmt::format("# {}\n", one_line(words));
}

std::string head(const MeasurementHeader& header, const MeasuringState& state, const char* what) {
    std::string text = comment(
        fmt::format("{}: plan '{}', begun {}", what, plan_kind_word(header.plan.kind), header.started_utc));
    for (const std::string& remark : measurement_remarks(header, state))
        text += comment(remark);
    return text;
}

}  // namespace

const char* const kGoneOnWith = "gone on with: ";

Readings fit_readings(const MeasuringState& state, ReadingUnit unit) {
    return readings_where(state, unit, false);
}

Readings verification_readings(const MeasuringState& state, ReadingUnit unit) {
    return readings_where(state, unit, true);
}

std::vector<std::string> measurement_remarks(const MeasurementHeader& header, const MeasuringState& state) {
    std::vector<std::string> remarks;
    if (!header.instrument.not_for_data.empty())
        remarks.push_back("NOT FOR DATA: " + header.instrument.not_for_data);
    for (const std::string& warning : header.warnings)
        remarks.push_back(kGoneOnWith + warning);
    std::copy_if(state.remarks.begin(), state.remarks.end(), std::back_inserter(remarks),
                 [](const std::string& remark) { return remark.starts_with(kGoneOnWith); });
    if (!state.settled)
        remarks.emplace_back("white still drifted when the measurement went on");
    const double drift = drift_while_measuring(state);
    const double by_noise = kSdsWorthTelling * std::sqrt(2.0) * state.noise.share;
    if (std::abs(drift) >= std::max(kWorthTelling, by_noise))
        remarks.push_back(fmt::format("white drifted by {:+.2f} % while measuring", 100.0 * drift));
    for (std::size_t i = 0; i < state.steps.size(); ++i) {
        const std::string& id = state.plan->steps[i].id;
        const StepProgress& step = state.steps[i];
        if (!step.left_out.empty())
            remarks.push_back(fmt::format("step {} was left out: {}", id, step.left_out));
        if (step.unsteady)
            remarks.push_back(fmt::format("the {} readings of step {} never agreed; all are kept",
                                          step.readings.size(), id));
        const auto aside = std::count_if(step.readings.begin(), step.readings.end(), [&](int reading) {
            return state.readings[static_cast<std::size_t>(reading)].set_aside;
        });
        if (aside > 0)
            remarks.push_back(
                fmt::format("{} of {} readings of step {} departed from the others and was set aside", aside,
                            step.readings.size(), id));
    }
    return remarks;
}

void write_tables(const std::string& folder, const MeasurementHeader& header, const MeasuringState& state) {
    Readings fit = fit_readings(state, header.instrument.unit);
    fit.details = details_of(header, state);
    const bool over_time = header.plan.kind == PlanKind::drift;
    write_whole_file(folder + "/readings.csv",
                     head(header, state,
                          over_time ? "readings of the screen over time, not to be fitted"
                                    : "readings to fit a calibration to") +
                         readings_text(fit));
    Readings verification = verification_readings(state, header.instrument.unit);
    verification.details = fit.details;
    if (!verification.rows.empty()) {
        write_whole_file(folder + "/verification.csv",
                         head(header, state, "readings to verify a calibration with, not to be fitted") +
                             readings_text(verification));
    }
    sync_entries(folder);
}

}  // namespace isoseam
