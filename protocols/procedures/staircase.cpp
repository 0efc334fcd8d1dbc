#include "protocols/procedures/staircase.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/random.h"

namespace isoseam {
namespace {

// A share of the range of levels. A sum of steps that ends this close to a limit has reached it. What exceeds
// the limit by less is rounding and not a step beyond it.
constexpr double kRoundingOfSteps = 1e-12;

void check_track(SpecFaults& found, const std::string& key, const StaircaseTrack& track, StepScale scale) {
    found.require(track.lowest < track.highest && std::isfinite(track.lowest) && std::isfinite(track.highest),
                  key + ".lowest", fmt::format("no room from {:g} to {:g}", track.lowest, track.highest),
                  "write two numbers, the lowest below the highest");
    found.require(track.start >= track.lowest && track.start <= track.highest, key + ".start",
                  fmt::format("{:g} is outside {:g} to {:g}", track.start, track.lowest, track.highest),
                  "start between the limits");
    if (scale == StepScale::log10)
        found.require(track.lowest > 0.0, key + ".lowest", fmt::format("{:g} has no logarithm", track.lowest),
                      "write a number above 0, or a linear scale");
}

void check_steps(SpecFaults& found, const std::string& key, const std::vector<double>& steps) {
    found.require(!steps.empty(), key, "there is no step", "write one number or a list");
    for (const double step : steps)
        found.require(step > 0.0 && std::isfinite(step), key, fmt::format("{:g} is no step", step),
                      "write numbers above 0");
}

void check_stop(SpecFaults& found, const StaircaseSpec& spec) {
    found.require(spec.reversals || spec.trials, "reversals", "nothing ends the staircase",
                  "write reversals, trials or both");
    if (spec.reversals)
        found.require(*spec.reversals >= 1, "reversals", fmt::format("{} reversals", *spec.reversals),
                      "write at least 1");
    if (spec.trials)
        found.require(*spec.trials >= 1, "trials", fmt::format("{} trials", *spec.trials),
                      "write at least 1");
    found.require(spec.discard >= 0, "discard", fmt::format("{} discarded reversals", spec.discard),
                  "write 0 or more");
    if (spec.reversals && *spec.reversals >= 1 && spec.discard >= 0)
        found.require(spec.discard + 2 <= *spec.reversals, "discard",
                      fmt::format("{} of {} reversals are discarded, which leaves no pair for the estimate",
                                  spec.discard, *spec.reversals),
                      "discard fewer or wait for more reversals");
}

double level_from_steps(const StaircaseSpec& spec, const StaircaseTrackState& track) {
    double moved = 0.0;
    for (std::size_t i = 0; i < spec.step_down.size(); ++i)
        moved += track.taken_up[i] * spec.step_up[i] - track.taken_down[i] * spec.step_down[i];
    return spec.scale == StepScale::linear ? track.base + moved : track.base * std::pow(10.0, moved);
}

void forget_steps(const StaircaseSpec& spec, StaircaseTrackState& track) {
    track.taken_down.assign(spec.step_down.size(), 0);
    track.taken_up.assign(spec.step_up.size(), 0);
}

void move(const StaircaseSpec& spec, const StaircaseTrack& limits, StaircaseTrackState& track,
          int direction) {
    if (track.direction == -direction)
        track.reversals.push_back(track.level);
    track.direction = direction;
    const std::size_t size = std::min(track.reversals.size(), spec.step_down.size() - 1);
    ++(direction > 0 ? track.taken_up : track.taken_down)[size];
    track.level = level_from_steps(spec, track);
    const double beyond = std::max(limits.lowest - track.level, track.level - limits.highest);
    if (beyond < 0.0)
        return;
    if (!(beyond <= kRoundingOfSteps * (limits.highest - limits.lowest)))
        ++track.limited_steps;
    track.base = track.level = direction > 0 ? limits.highest : limits.lowest;
    forget_steps(spec, track);
}

void answer(const StaircaseSpec& spec, const StaircaseTrack& limits, StaircaseTrackState& track,
            bool success) {
    ++track.trials;
    int& in_row = success ? track.successes_in_row : track.failures_in_row;
    (success ? track.failures_in_row : track.successes_in_row) = 0;
    if (++in_row == (success ? spec.down : spec.up)) {
        in_row = 0;
        move(spec, limits, track, success ? -1 : +1);
    }
    track.finished = (spec.reversals && static_cast<int>(track.reversals.size()) >= *spec.reversals) ||
                     (spec.trials && track.trials >= *spec.trials);
}

std::vector<int> order_of_round(const StaircaseState& state) {
    // The permutation of each round has its own seed.
    const RandomStream rounds{state.seed, kStreamTrackOrder};
    return shuffled_order({rounds.bits(static_cast<std::uint64_t>(state.round)), kStreamTrackOrder},
                          static_cast<int>(state.tracks.size()));
}

StaircaseTrackState& at_turn(StaircaseState& state) {
    return state.tracks[static_cast<std::size_t>(state.order[static_cast<std::size_t>(state.turn)])];
}

void go_to_next_track(StaircaseState& state) {
    state.finished = std::all_of(state.tracks.begin(), state.tracks.end(),
                                 [](const StaircaseTrackState& track) { return track.finished; });
    if (state.finished)
        return;
    do {
        if (++state.turn == static_cast<int>(state.order.size())) {
            ++state.round;
            state.turn = 0;
            state.order = order_of_round(state);
        }
    } while (at_turn(state).finished);
}

std::optional<double> mean_of_last(const std::vector<double>& reversals, int count, StepScale scale) {
    if (count == 0)
        return std::nullopt;
    double sum = 0.0;
    for (auto reversal = reversals.end() - count; reversal != reversals.end(); ++reversal)
        sum += scale == StepScale::linear ? *reversal : std::log10(*reversal);
    const double mean = sum / count;
    return scale == StepScale::linear ? mean : std::pow(10.0, mean);
}

}  // namespace

std::vector<Fault> faults(const StaircaseSpec& spec) {
    SpecFaults found;
    found.require(!spec.tracks.empty(), "tracks", "there is no track", "write at least one");
    for (std::size_t i = 0; i < spec.tracks.size(); ++i)
        check_track(found, fmt::format("tracks[{}]", i), spec.tracks[i], spec.scale);
    found.require(spec.down >= 1, "down", fmt::format("{} successes in a row", spec.down),
                  "write at least 1");
    found.require(spec.up >= 1, "up", fmt::format("{} failures in a row", spec.up), "write at least 1");
    check_steps(found, "step_down", spec.step_down);
    check_steps(found, "step_up", spec.step_up);
    found.require(spec.step_down.size() == spec.step_up.size(), "step_up",
                  fmt::format("{} steps up, {} down", spec.step_up.size(), spec.step_down.size()),
                  "write equally many, since they shrink together");
    check_stop(found, spec);
    return found.all();
}

double weighted_step_up(double step_down, double p) {
    ISOSEAM_CHECK_GT(step_down, 0.0);
    ISOSEAM_CHECK_GT(p, 0.0);
    ISOSEAM_CHECK_LT(p, 1.0);
    return step_down * p / (1.0 - p);
}

double convergence_level(int down, int up, double step_down, double step_up) {
    ISOSEAM_CHECK(down >= 1 && up >= 1 && step_down > 0.0 && step_up > 0.0);
    const double wanted = step_up / (step_up + step_down);
    if (up == 1)
        return std::pow(wanted, 1.0 / down);
    // Rows of successes and failures are a renewal process. When both rows start afresh, a row of `down`
    // successes comes first with probability
    // p^(down-1) (1 - q^up) / (p^(down-1) + q^(up-1) - p^(down-1) q^(up-1)).
    double low = 0.0;
    double high = 1.0;
    constexpr int kBisections = 60;
    for (int i = 0; i < kBisections; ++i) {
        const double p = 0.5 * (low + high);
        const double a = std::pow(p, down - 1);
        const double b = std::pow(1.0 - p, up - 1);
        const double first = a * (1.0 - b * (1.0 - p)) / (a + b - a * b);
        (first < wanted ? low : high) = p;
    }
    return 0.5 * (low + high);
}

double convergence_level(const StaircaseSpec& spec) {
    throw_if_any(faults(spec));
    return convergence_level(spec.down, spec.up, spec.step_down.back(), spec.step_up.back());
}

StaircaseState start(const StaircaseSpec& spec, std::uint64_t seed) {
    throw_if_any(faults(spec));
    StaircaseState state;
    state.seed = seed;
    for (const StaircaseTrack& track : spec.tracks) {
        StaircaseTrackState made;
        made.base = made.level = track.start;
        forget_steps(spec, made);
        state.tracks.push_back(made);
    }
    state.order = order_of_round(state);
    return state;
}

std::optional<LevelRequest> next_trial(const StaircaseSpec&, const StaircaseState& state) {
    if (state.finished)
        return std::nullopt;
    const int track = state.order[static_cast<std::size_t>(state.turn)];
    return LevelRequest{{state.tracks[static_cast<std::size_t>(track)].level}, track};
}

StaircaseState respond(const StaircaseSpec& spec, StaircaseState state, bool success) {
    ISOSEAM_CHECK(!state.finished, "the staircase has ended");
    const int track = state.order[static_cast<std::size_t>(state.turn)];
    answer(spec, spec.tracks[static_cast<std::size_t>(track)], at_turn(state), success);
    go_to_next_track(state);
    return state;
}

StaircaseResult result(const StaircaseSpec& spec, const StaircaseState& state) {
    StaircaseResult made;
    made.convergence_level = convergence_level(spec);
    for (const StaircaseTrackState& track : state.tracks) {
        const int kept = std::max(0, static_cast<int>(track.reversals.size()) - spec.discard);
        const int used = kept - kept % 2;
        made.tracks.push_back({mean_of_last(track.reversals, used, spec.scale), track.reversals, used,
                               track.trials, track.limited_steps, track.finished});
    }
    return made;
}

}  // namespace isoseam
