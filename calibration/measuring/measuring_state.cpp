#include "calibration/measuring/measuring_state.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/errors.h"
#include "base/medians.h"
#include "calibration/instruments/file_instrument.h"

namespace isoseam {
namespace {

using std::size_t;

// A median absolute deviation of a few readings underestimates: this much on top.
constexpr double kFewReadingsFactor = 1.5;
constexpr size_t kFewestForFloor = 3;
constexpr size_t kFewestWatched = 5;

int index_of(const MeasuringPlan& plan, const std::string& id) {
    if (id == plan.watch.id)
        return -1;
    const auto found = std::find_if(plan.steps.begin(), plan.steps.end(),
                                    [&](const PlanStep& step) { return step.id == id; });
    ISOSEAM_CHECK(found != plan.steps.end(), fmt::format("no step '{}'", id));
    return static_cast<int>(found - plan.steps.begin());
}

bool is_white_of_patch(const MeasuringState& state, const KeptReading& reading) {
    const PlanStep& step = step_of(*state.plan, reading.step);
    return same_drive(step.drive, state.plan->watch.drive) && same_place(step.place, state.plan->watch.place);
}

std::vector<double> totals_of(const MeasuringState& state, const std::vector<int>& readings) {
    std::vector<double> totals;
    for (const int reading : readings)
        totals.push_back(state.readings[static_cast<size_t>(reading)].total);
    return totals;
}

// A straight line through the watched totals of the last window, relative to their mean.
struct Line {
    double slope_per_s = 0.0;
    double slope_error_per_s = 0.0;
    double residual_sd = 0.0;
    size_t points = 0;
};
Line line_through(const std::vector<double>& at_s, const std::vector<double>& totals) {
    const auto n = static_cast<double>(at_s.size());
    const double mean_at = std::accumulate(at_s.begin(), at_s.end(), 0.0) / n;
    const double mean = std::accumulate(totals.begin(), totals.end(), 0.0) / n;
    double sxx = 0.0;
    double sxy = 0.0;
    for (size_t i = 0; i < at_s.size(); ++i) {
        sxx += (at_s[i] - mean_at) * (at_s[i] - mean_at);
        sxy += (at_s[i] - mean_at) * (totals[i] / mean - 1.0);
    }
    Line line;
    line.points = at_s.size();
    line.slope_per_s = sxy / sxx;
    double residuals = 0.0;
    for (size_t i = 0; i < at_s.size(); ++i)
        residuals += std::pow(totals[i] / mean - 1.0 - line.slope_per_s * (at_s[i] - mean_at), 2);
    line.residual_sd = std::sqrt(residuals / (n - 2.0));
    line.slope_error_per_s = line.residual_sd / std::sqrt(sxx);
    return line;
}

std::optional<Line> watched_line(const MeasuringState& state, double window_s) {
    if (state.watched.size() < kFewestWatched)
        return std::nullopt;
    const double newest_s = state.readings[static_cast<size_t>(state.watched.back())].at_s;
    std::vector<double> at_s;
    std::vector<double> totals;
    for (const int i : state.watched) {
        const KeptReading& reading = state.readings[static_cast<size_t>(i)];
        if (reading.at_s >= newest_s - window_s) {
            at_s.push_back(reading.at_s);
            totals.push_back(reading.total);
        }
    }
    const double first_s = state.readings[static_cast<size_t>(state.watched.front())].at_s;
    // The window is full when it reaches back to within one interval of its length.
    if (newest_s - first_s < window_s - state.plan->warm_up.interval_s || at_s.size() < kFewestWatched)
        return std::nullopt;
    return line_through(at_s, totals);
}

std::optional<WarmUpDrift> watched_drift_over(const MeasuringState& state, double window_s) {
    const std::optional<Line> line = watched_line(state, window_s);
    if (!line)
        return std::nullopt;
    return WarmUpDrift{60.0 * line->slope_per_s, 60.0 * line->slope_error_per_s};
}

// Slope and standard error together leave less room than the rule sets: over its window, or over a longer
// one, which a noisy instrument needs, while the latest window does not drift by more than its noise.
bool has_settled(const MeasuringState& state) {
    const WarmUpRule& rule = state.plan->warm_up;
    constexpr double kNoiseSds = 2.0;
    const std::optional<WarmUpDrift> latest = watched_drift(state);
    if (!latest || std::abs(latest->per_min) - kNoiseSds * latest->standard_error > rule.settled_per_min)
        return false;
    for (const double windows : {1.0, 2.0, 4.0, 8.0}) {
        const std::optional<WarmUpDrift> drift = watched_drift_over(state, windows * rule.window_s);
        if (drift && std::abs(drift->per_min) + drift->standard_error <= rule.settled_per_min)
            return true;
    }
    return false;
}

void end_watch(MeasuringState& state) {
    if (const std::optional<Line> line = watched_line(state, state.plan->warm_up.window_s))
        state.noise.share = std::max(kLeastNoiseShare, line->residual_sd);
    state.watching = false;
}

void learn_floor(MeasuringState& state, const StepProgress& step) {
    const std::optional<double> white = white_total(state);
    if (step.readings.size() < kFewestForFloor || !white || !(*white > 0.0))
        return;
    const std::vector<double> totals = totals_of(state, step.readings);
    const double sd = kSdPerMedianDeviation * kFewReadingsFactor * median_deviation(totals, median(totals));
    state.noise.floor_share = std::max(kLeastFloorShare, sd / *white);
}

// Which readings of a step agree with each other. Of two that do not, neither.
std::vector<int> agreeing(const MeasuringState& state, const std::vector<int>& readings) {
    const std::vector<double> totals = totals_of(state, readings);
    const double middle = median(totals);
    // The difference of two readings varies more than one of them.
    const double allowed =
        kDepartureSds * expected_sd(state, middle) * (totals.size() == 2 ? std::sqrt(0.5) : 1.0);
    std::vector<int> members;
    for (size_t i = 0; i < totals.size(); ++i) {
        if (std::abs(totals[i] - middle) <= allowed)
            members.push_back(readings[i]);
    }
    return members;
}

void settle_step(MeasuringState& state, int index) {
    StepProgress& progress = state.steps[static_cast<size_t>(index)];
    const PlanStep& step = step_of(*state.plan, index);
    const auto taken = static_cast<int>(progress.readings.size());
    if (taken < step.repeats)
        return;
    const std::vector<int> members = agreeing(state, progress.readings);
    if (static_cast<int>(members.size()) >= step.repeats) {
        progress.done = true;
        for (const int reading : progress.readings) {
            state.readings[static_cast<size_t>(reading)].set_aside =
                std::find(members.begin(), members.end(), reading) == members.end();
        }
    } else if (taken >= step.repeats + kMostExtraReadings) {
        progress.done = true;
        progress.unsteady = true;
    }
    if (progress.done && step.purpose == Purpose::black)
        learn_floor(state, progress);
}

void begin_watch(MeasuringState& state, double at_s) {
    state.watching = state.plan->warm_up.watch;
    state.watch_from_s = at_s;
    state.watched.clear();
}

void fold(MeasuringState& state, const ReadingTaken& event) {
    const InstrumentSpectrum& spectrum = event.spectrum;
    if (state.wavelengths_nm.empty())
        state.wavelengths_nm = spectrum.wavelengths_nm;
    ISOSEAM_CHECK(spectrum.wavelengths_nm == state.wavelengths_nm, "other wavelengths than before");
    const int step = index_of(*state.plan, event.step);
    const auto reading = static_cast<int>(state.readings.size());
    state.readings.push_back({step, event.at_s, spectrum.values, total_of(spectrum), false});
    if (step >= 0) {
        state.steps[static_cast<size_t>(step)].readings.push_back(reading);
        settle_step(state, step);
        return;
    }
    state.watched.push_back(reading);
    if (has_settled(state))
        end_watch(state);
}

void fold(MeasuringState& state, const StepLeftOut& event) {
    const int step = index_of(*state.plan, event.step);
    if (step < 0) {
        end_watch(state);
        state.settled = false;
        return;
    }
    state.steps[static_cast<size_t>(step)].done = true;
    state.steps[static_cast<size_t>(step)].left_out = event.reason;
}

void fold(MeasuringState& state, const MeasurementResumed& event) {
    if (event.at_s - state.last_at_s > kLongInterruptionSeconds)
        begin_watch(state, event.at_s);
}

void fold(MeasuringState& state, const WentOnUnsettled& /*event*/) {
    end_watch(state);
    state.settled = false;
}

void fold(MeasuringState& state, const Remark& event) {
    state.remarks.push_back(event.words);
}

int same_before(const MeasuringState& state, const PlanStep& next) {
    return static_cast<int>(
        std::count_if(state.readings.begin(), state.readings.end(), [&](const KeptReading& reading) {
            const PlanStep& step = step_of(*state.plan, reading.step);
            return same_drive(step.drive, next.drive) && same_place(step.place, next.place);
        }));
}

ReadNext read_next(const MeasuringState& state, int index, double earliest_s, std::string why) {
    const PlanStep& step = step_of(*state.plan, index);
    ReadNext next;
    next.step = index;
    next.shown.drive = step.drive;
    next.shown.surround = state.plan->options.surround;
    next.shown.place = step.place;
    next.shown.step = step.id;
    next.shown.reading = static_cast<int>(state.readings.size());
    next.shown.same_before = same_before(state, step);
    next.shown.at_s = std::max(earliest_s, state.last_at_s);
    next.earliest_s = earliest_s;
    // Patches of other sizes lie around the planned one; only other places have the instrument moved.
    const int before = state.readings.empty() ? -1 : state.readings.back().step;
    const bool elsewhere = step.purpose == Purpose::uniformity;
    const PlanStep& last = step_of(*state.plan, before);
    next.aim = elsewhere != (last.purpose == Purpose::uniformity) ||
               (elsewhere && !same_place(step.place, last.place));
    next.why = std::move(why);
    return next;
}

MeasuringNext next_watched(const MeasuringState& state) {
    const WarmUpRule& rule = state.plan->warm_up;
    if (state.watched.empty())
        return read_next(state, -1, state.watch_from_s, "warm-up watch");
    const double newest_s = state.readings[static_cast<size_t>(state.watched.back())].at_s;
    const std::optional<WarmUpDrift> drift = watched_drift(state);
    if (newest_s - state.watch_from_s >= rule.longest_s)
        return StillDrifting{drift.value_or(WarmUpDrift{}), newest_s - state.watch_from_s};
    const std::string why = drift ? fmt::format("warm-up watch: white drifts by {:+.2g} +- {:.1g} % a minute",
                                                100.0 * drift->per_min, 100.0 * drift->standard_error)
                                  : "warm-up watch";
    return read_next(state, -1, newest_s + rule.interval_s, why);
}

}  // namespace

const PlanStep& step_of(const MeasuringPlan& plan, int step) {
    return step < 0 ? plan.watch : plan.steps[static_cast<size_t>(step)];
}

double total_of(const InstrumentSpectrum& spectrum) {
    double total = 0.0;
    for (size_t i = 1; i < spectrum.values.size(); ++i)
        total += 0.5 * (spectrum.values[i - 1] + spectrum.values[i]) *
                 (spectrum.wavelengths_nm[i] - spectrum.wavelengths_nm[i - 1]);
    return total;
}

MeasuringState measuring_begun(const MeasuringPlan& plan) {
    MeasuringState state;
    state.plan = std::make_shared<const MeasuringPlan>(plan);
    state.steps.resize(plan.steps.size());
    begin_watch(state, 0.0);
    return state;
}

MeasuringState after(MeasuringState state, const MeasuringEvent& event) {
    std::visit([&](const auto& one) { fold(state, one); }, event);
    state.last_at_s = std::max(state.last_at_s, std::visit([](const auto& one) { return one.at_s; }, event));
    return state;
}

std::optional<WarmUpDrift> watched_drift(const MeasuringState& state) {
    return watched_drift_over(state, state.plan->warm_up.window_s);
}

std::optional<double> white_total(const MeasuringState& state) {
    std::vector<double> totals;
    for (const KeptReading& reading : state.readings) {
        if (is_white_of_patch(state, reading))
            totals.push_back(reading.total);
    }
    return totals.empty() ? std::nullopt : std::optional(median(totals));
}

double drift_while_measuring(const MeasuringState& state) {
    std::vector<double> whites;
    for (const KeptReading& reading : state.readings) {
        if (reading.step >= 0 && !reading.set_aside && is_white_of_patch(state, reading))
            whites.push_back(reading.total);
    }
    double largest = 0.0;
    for (const double white : whites) {
        if (std::abs(white / whites.front() - 1.0) > std::abs(largest))
            largest = white / whites.front() - 1.0;
    }
    return largest;
}

double expected_sd(const MeasuringState& state, double total) {
    const double white = white_total(state).value_or(std::abs(total));
    return std::sqrt(std::pow(state.noise.floor_share * white, 2) +
                     std::pow(state.noise.share, 2) * std::abs(total) * white);
}

MeasuringNext next_of(const MeasuringState& state) {
    if (state.watching)
        return next_watched(state);
    for (size_t i = 0; i < state.steps.size(); ++i) {
        const StepProgress& progress = state.steps[i];
        if (progress.done)
            continue;
        const PlanStep& step = state.plan->steps[i];
        const auto taken = static_cast<int>(progress.readings.size());
        std::string why = step.repeats > 1 ? fmt::format("reading {} of {}", taken + 1, step.repeats) : "";
        if (taken >= step.repeats)
            why = "departs from its repeats: once more";
        return read_next(state, static_cast<int>(i), step.earliest_s, std::move(why));
    }
    return AllRead{};
}

int readings_left(const MeasuringState& state) {
    int left = 0;
    for (size_t i = 0; i < state.steps.size(); ++i) {
        if (!state.steps[i].done)
            left +=
                std::max(1, state.plan->steps[i].repeats - static_cast<int>(state.steps[i].readings.size()));
    }
    return left;
}

double time_left_s(const MeasuringState& state, double reading_s, double settle_s) {
    double at_s = state.last_at_s;
    for (size_t i = 0; i < state.steps.size(); ++i) {
        if (state.steps[i].done)
            continue;
        const PlanStep& step = state.plan->steps[i];
        const int left = std::max(1, step.repeats - static_cast<int>(state.steps[i].readings.size()));
        at_s = std::max(at_s, step.earliest_s) + settle_s + left * reading_s;
    }
    return at_s - state.last_at_s;
}

}  // namespace isoseam
