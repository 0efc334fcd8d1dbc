#include "calibration/measuring/measuring_state.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>

#include "calibration/instruments/simulated_instrument.h"
#include "support/rehearsed_measurement.h"

using namespace isoseam;
using test::rehearsed;

namespace {

MeasuringPlan plan_of(PlanKind kind, bool warm_up = false) {
    PlanOptions options;
    options.kind = kind;
    options.warm_up = warm_up;
    return make_plan(options);
}

// Reads another instrument, and multiplies the readings of these numbers.
class SpoiltInstrument : public Instrument {
  public:
    SpoiltInstrument(Instrument& real, std::map<int, double> factors)
        : real_(real), factors_(std::move(factors)) {}
    InstrumentRecord record() const override { return real_.record(); }
    ReadingOutcome read(const ShownPatch& shown) override {
        auto spectrum = std::get<InstrumentSpectrum>(real_.read(shown));
        const auto factor = factors_.find(shown.reading);
        for (double& value : spectrum.values)
            value *= factor == factors_.end() ? 1.0 : factor->second;
        return spectrum;
    }

  private:
    Instrument& real_;
    std::map<int, double> factors_;
};

SimulatedInstrument simulated(const char* screen, std::uint64_t seed = 1) {
    return SimulatedInstrument(simulated_screen(screen, ""), seed);
}

int extra_readings(const MeasuringState& state) {
    int extra = 0;
    for (std::size_t i = 0; i < state.steps.size(); ++i)
        extra += static_cast<int>(state.steps[i].readings.size()) - state.plan->steps[i].repeats;
    return extra;
}

bool is_all_read(const MeasuringState& state) {
    return std::holds_alternative<AllRead>(next_of(state));
}

}  // namespace

TEST_CASE(
    "a steady screen settles in one window, and a full plan is read with hardly a reading more than "
    "planned") {
    SimulatedInstrument instrument = simulated("additive");
    const MeasuringState state = rehearsed(measuring_begun(plan_of(PlanKind::full, true)), instrument);
    REQUIRE(is_all_read(state));
    CHECK(state.settled);
    const std::size_t watched = state.readings.size() -
                                static_cast<std::size_t>(planned_readings(*state.plan)) -
                                static_cast<std::size_t>(extra_readings(state));
    CHECK(watched == 15);  // the first after 280 s of 300, with 20 s between
    // Noise of 0.2 % of the whole spectrum was simulated; 15 readings tell it to 20 %: 3 of these SDs.
    CHECK(state.noise.share == Approx(0.002).epsilon(0.6));
    // 5 SDs of an SD that may itself be a fifth too small.
    CHECK(extra_readings(state) <= 2);
    CHECK(readings_left(state) == 0);
    CHECK(std::abs(drift_while_measuring(state)) < 0.01);
}

TEST_CASE("a screen that warms up is watched until it drifts by less than was set") {
    SimulatedScreen screen = simulated_screen("drifting", "");
    screen.gain_noise = 0.0002;
    SimulatedInstrument instrument(screen, 1);
    const MeasuringState state = rehearsed(measuring_begun(plan_of(PlanKind::full, true)), instrument,
                                           [](const MeasuringState& now) { return !now.watching; });
    // 6 % too much, falling to 1/e in 300 s: its slope falls to 0.1 % a minute after 300 ln 12 = 745 s, and
    // in the middle of a window of 300 s is seen 150 s later.
    CHECK(state.last_at_s > 745.0);
    CHECK(state.last_at_s < 1100.0);
    CHECK(state.settled);
}

TEST_CASE("a noisy instrument is given the time that it needs to tell a steady screen") {
    SimulatedScreen screen = simulated_screen("additive", "");
    screen.gain_noise = 0.01;
    SimulatedInstrument instrument(screen, 1);
    const MeasuringState state = rehearsed(measuring_begun(plan_of(PlanKind::full, true)), instrument,
                                           [](const MeasuringState& now) { return !now.watching; });
    CHECK(state.settled);
    // n readings of 1 % noise, 20 s apart, know the slope to 1 % * sqrt(12 / n) a window of n / 3 minutes: to
    // 0.1 % a minute from n = 22 on; and by half of that from n = 35.
    CHECK(state.last_at_s > 22 * 20.0);
    CHECK(state.last_at_s < 2400.0);
}

TEST_CASE("a screen that never settles is said to drift after the longest time, and may be gone on with") {
    SimulatedScreen screen = simulated_screen("additive", "");
    screen.drift_per_hour = -0.3;
    SimulatedInstrument instrument(screen, 1);
    MeasuringState state = rehearsed(measuring_begun(plan_of(PlanKind::full, true)), instrument);
    const MeasuringNext next = next_of(state);
    const auto& drifting = std::get<StillDrifting>(next);
    CHECK(drifting.watched_s >= 3600.0);
    CHECK(drifting.watched_s < 3660.0);
    CHECK(drifting.drift.per_min ==
          Approx(-0.3 / 60.0 / 0.7).epsilon(0.1));  // relative to what is left after an hour
    state = after(state, WentOnUnsettled{state.last_at_s});
    CHECK_FALSE(state.settled);
    CHECK(std::get<ReadNext>(next_of(state)).shown.step == "drift.1");
}

TEST_CASE(
    "a reading that departs from its repeats is asked for again, and the one that departs is set aside") {
    SimulatedInstrument real = simulated("additive");
    const MeasuringState clean = rehearsed(measuring_begun(plan_of(PlanKind::full)), real);
    const auto reading_of = [&](const char* id, std::size_t nth) {
        for (std::size_t i = 0; i < clean.steps.size(); ++i) {
            if (clean.plan->steps[i].id == id)
                return clean.steps[i].readings.at(nth);
        }
        throw std::runtime_error(id);
    };
    std::vector<int> spoilt{reading_of("black.before", 1), reading_of("ramp.g.255", 0),
                            reading_of("white.255", 1)};
    std::sort(spoilt.begin(), spoilt.end());
    for (int i = 0; i < 3; ++i)  // each has one reading more come before the next
        spoilt[static_cast<std::size_t>(i)] += i;
    SpoiltInstrument instrument(real, {{spoilt[0], 5.0}, {spoilt[1], 0.9}, {spoilt[2], 0.9}});
    const MeasuringState state = rehearsed(measuring_begun(plan_of(PlanKind::full)), instrument);
    REQUIRE(is_all_read(state));
    std::vector<int> aside;
    for (std::size_t i = 0; i < state.readings.size(); ++i) {
        if (state.readings[i].set_aside)
            aside.push_back(static_cast<int>(i));
    }
    CHECK(aside == spoilt);
    CHECK(extra_readings(state) == 3);
    for (const StepProgress& step : state.steps)
        CHECK_FALSE(step.unsteady);
}

TEST_CASE("the person is told why one more reading is asked for") {
    SimulatedInstrument real = simulated("additive");
    SpoiltInstrument instrument(real, {{4, 5.0}});
    const auto reached = [](const MeasuringState& now) {
        return static_cast<int>(now.steps[2].readings.size()) == now.plan->steps[2].repeats;
    };
    const MeasuringState state = rehearsed(measuring_begun(plan_of(PlanKind::full)), instrument, reached);
    const MeasuringNext next = next_of(state);
    CHECK(std::get<ReadNext>(next).why == "departs from its repeats: once more");
    CHECK(std::get<ReadNext>(next).step == 2);
}

TEST_CASE("readings that never agree are kept, and the step is called unsteady") {
    SimulatedInstrument real = simulated("additive");
    std::map<int, double> factors;
    for (int i = 0; i < 8; ++i)
        factors[4 + i] = std::pow(4.0, i);
    SpoiltInstrument instrument(real, factors);
    const MeasuringState state = rehearsed(measuring_begun(plan_of(PlanKind::full)), instrument);
    REQUIRE(is_all_read(state));
    const StepProgress& step = state.steps[2];
    CHECK(step.unsteady);
    CHECK(static_cast<int>(step.readings.size()) == state.plan->steps[2].repeats + kMostExtraReadings);
    for (const int reading : step.readings)
        CHECK_FALSE(state.readings[static_cast<std::size_t>(reading)].set_aside);
}

TEST_CASE(
    "a state is the fold of its events: interrupted anywhere and resumed, it goes on as if nothing had "
    "been") {
    SimulatedInstrument instrument = simulated("interaction", 3);
    const MeasuringState whole = rehearsed(measuring_begun(plan_of(PlanKind::quick, true)), instrument);
    for (std::size_t at = 0; at < whole.readings.size(); at += 7) {
        MeasuringState state =
            rehearsed(measuring_begun(plan_of(PlanKind::quick, true)), instrument,
                      [&](const MeasuringState& now) { return now.readings.size() == at; });
        state = after(state, MeasurementResumed{state.last_at_s + 10.0});
        // The pause itself moves the readings after it in time; this screen does not care.
        state = rehearsed(std::move(state), instrument);
        REQUIRE(is_all_read(state));
        REQUIRE(state.readings.size() == whole.readings.size());
        for (std::size_t i = 0; i < whole.readings.size(); ++i) {
            REQUIRE(state.readings[i].step == whole.readings[i].step);
            REQUIRE(state.readings[i].values == whole.readings[i].values);
        }
    }
}

TEST_CASE("after a long interruption the warm-up is watched anew") {
    SimulatedInstrument instrument = simulated("additive");
    MeasuringState state = rehearsed(measuring_begun(plan_of(PlanKind::full, true)), instrument,
                                     [](const MeasuringState& now) { return now.readings.size() == 30; });
    REQUIRE_FALSE(state.watching);
    const MeasuringState soon = after(state, MeasurementResumed{state.last_at_s + kLongInterruptionSeconds});
    CHECK_FALSE(soon.watching);
    const MeasuringState late =
        after(state, MeasurementResumed{state.last_at_s + kLongInterruptionSeconds + 1.0});
    CHECK(late.watching);
    CHECK(std::get<ReadNext>(next_of(late)).earliest_s == late.watch_from_s);
    const MeasuringState done = rehearsed(late, instrument);
    CHECK(is_all_read(done));
    CHECK(readings_left(done) == 0);
}

TEST_CASE("a step that is left out is not asked for again, and other places want the instrument moved") {
    SimulatedInstrument instrument = simulated("additive");
    MeasuringState state = measuring_begun(plan_of(PlanKind::full));
    const MeasuringNext first = next_of(state);
    state = after(state, test::taken_by(instrument, state, std::get<ReadNext>(first)));
    state = after(std::move(state), StepLeftOut{"black.before", 0.0, "too dark"});
    const MeasuringNext second = next_of(state);
    CHECK(std::get<ReadNext>(second).shown.step == state.plan->steps[2].id);
    int moved = 0;
    while (true) {
        const MeasuringNext next = next_of(state);
        const auto* read = std::get_if<ReadNext>(&next);
        if (read == nullptr)
            break;
        moved += read->aim ? 1 : 0;
        const ReadingTaken taken = test::taken_by(instrument, state, *read);
        state = after(std::move(state), taken);
    }
    CHECK(moved == 5);  // places of the uniformity check
    CHECK(state.steps[1].readings.empty());
    CHECK(state.steps[1].left_out == "too dark");
}

TEST_CASE("a drift plan is read at its times") {
    PlanOptions options;
    options.kind = PlanKind::drift;
    options.duration_s = 600.0;
    SimulatedInstrument instrument = simulated("drifting");
    const MeasuringState state = test::rehearsed(measuring_begun(make_plan(options)), instrument);
    REQUIRE(is_all_read(state));
    for (const KeptReading& reading : state.readings)
        CHECK(reading.at_s >= step_of(*state.plan, reading.step).earliest_s);
    // 6 % too much falls to 0.8 % in 600 s.
    CHECK(drift_while_measuring(state) == Approx(-0.049).margin(0.008));
}
