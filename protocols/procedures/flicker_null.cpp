#include "protocols/procedures/flicker_null.h"

#include <fmt/format.h>

#include <cmath>

#include "base/random.h"

namespace isoseam {
namespace {

NullSetting new_setting(const FlickerNullSpec& spec, std::uint64_t seed, std::size_t index) {
    NullSetting made;
    const bool first_from_above = RandomStream{seed, kStreamFirstSide}.below(0, 2) == 1;
    made.from_above = first_from_above == (index % 2 == 0);
    const double jitter = spec.jitter * (2.0 * RandomStream{seed, kStreamStartJitter}.uniform(index) - 1.0);
    made.start = spec.centre + (made.from_above ? spec.bracket : -spec.bracket) + jitter;
    made.level = made.start;
    return made;
}

void take_step(const FlickerNullSpec& spec, NullSetting& setting, const TrialResponse& response) {
    ISOSEAM_CHECK_EQ(response.axis, 0);
    ISOSEAM_CHECK(response.value == 1 || response.value == -1, fmt::format("direction {}", response.value));
    NullSetting moved = setting;
    (response.coarse ? moved.coarse_steps : moved.fine_steps) += response.value;
    moved.level = moved.start + moved.fine_steps * spec.fine + moved.coarse_steps * spec.coarse;
    if (!(moved.level >= spec.lowest && moved.level <= spec.highest)) {
        ++setting.refused_steps;
        return;
    }
    setting = moved;
    ++setting.steps;
}

std::optional<double> mean_of(const std::vector<double>& values) {
    if (values.empty())
        return std::nullopt;
    double sum = 0.0;
    for (const double value : values)
        sum += value;
    return sum / static_cast<double>(values.size());
}

std::optional<double> sd_of(const std::vector<double>& values) {
    if (values.size() < 2)
        return std::nullopt;
    const double mean = *mean_of(values);
    double squares = 0.0;
    for (const double value : values)
        squares += (value - mean) * (value - mean);
    return std::sqrt(squares / static_cast<double>(values.size() - 1));
}

}  // namespace

std::vector<Fault> faults(const FlickerNullSpec& spec) {
    SpecFaults found;
    found.require(std::isfinite(spec.centre), "centre", "the centre is no finite number", "write a number");
    found.require(spec.bracket > 0.0, "bracket", fmt::format("{:g} above and below", spec.bracket),
                  "write a number above 0");
    found.require(spec.jitter >= 0.0 && spec.jitter < spec.bracket, "jitter",
                  fmt::format("{:g} about the starting points", spec.jitter),
                  "write 0 or more, less than bracket");
    found.require(spec.fine > 0.0, "fine", fmt::format("{:g} is no step", spec.fine),
                  "write a number above 0");
    found.require(spec.coarse >= spec.fine && std::isfinite(spec.coarse), "coarse",
                  fmt::format("{:g}, the fine step is {:g}", spec.coarse, spec.fine),
                  "write a number no smaller than the fine step");
    const double reach = spec.bracket + spec.jitter;
    found.require(
        spec.lowest <= spec.centre - reach && std::isfinite(spec.lowest), "lowest",
        fmt::format("starting points reach down to {:g}, beyond {:g}", spec.centre - reach, spec.lowest),
        "write a smaller number or bracket");
    found.require(
        spec.highest >= spec.centre + reach && std::isfinite(spec.highest), "highest",
        fmt::format("starting points reach up to {:g}, beyond {:g}", spec.centre + reach, spec.highest),
        "write a larger number or a smaller bracket");
    found.require(spec.repeats >= 2 && spec.repeats % 2 == 0, "repeats",
                  fmt::format("{} settings cannot be shared between two sides", spec.repeats),
                  "write an even number");
    if (spec.time_limit_s)
        found.require(*spec.time_limit_s > 0.0, "time_limit", fmt::format("{:g} s", *spec.time_limit_s),
                      "write a time above 0 s");
    return found.all();
}

FlickerNullState start(const FlickerNullSpec& spec, std::uint64_t seed) {
    throw_if_any(faults(spec));
    return {seed, {new_setting(spec, seed, 0)}, false};
}

std::optional<TrialRequest> next_trial(const FlickerNullSpec&, const FlickerNullState& state) {
    if (state.finished)
        return std::nullopt;
    TrialRequest request;
    request.number = static_cast<int>(state.settings.size());
    request.form = AnswerForm::adjustment;
    request.level = {state.settings.back().level};
    return request;
}

FlickerNullState respond(const FlickerNullSpec& spec, FlickerNullState state, const TrialResponse& response) {
    ISOSEAM_CHECK(!state.finished, "all settings are made");
    ISOSEAM_CHECK_GE(response.elapsed_s, 0.0);
    NullSetting& setting = state.settings.back();
    setting.elapsed_s = response.elapsed_s;
    setting.timed_out = spec.time_limit_s && response.elapsed_s > *spec.time_limit_s;
    if (!setting.timed_out) {
        if (response.kind == TrialResponse::Kind::step)
            take_step(spec, setting, response);
        else if (response.kind == TrialResponse::Kind::accept)
            setting.accepted = true;
        else
            ISOSEAM_CHECK(response.kind == TrialResponse::Kind::waiting, to_string(response.kind));
    }
    if (!setting.accepted && !setting.timed_out)
        return state;
    state.finished = static_cast<int>(state.settings.size()) == spec.repeats;
    if (!state.finished)
        state.settings.push_back(new_setting(spec, state.seed, state.settings.size()));
    return state;
}

FlickerNullResult result(const FlickerNullSpec&, const FlickerNullState& state) {
    FlickerNullResult made;
    std::vector<double> all;
    std::vector<double> above;
    std::vector<double> below;
    for (const NullSetting& setting : state.settings) {
        if (!setting.accepted && !setting.timed_out)
            continue;
        made.settings.push_back(setting);
        made.timed_out += setting.timed_out ? 1 : 0;
        if (!setting.accepted)
            continue;
        ++made.accepted;
        all.push_back(setting.level);
        (setting.from_above ? above : below).push_back(setting.level);
    }
    made.mean_from_above = mean_of(above);
    made.mean_from_below = mean_of(below);
    if (made.mean_from_above && made.mean_from_below)
        made.mean = 0.5 * (*made.mean_from_above + *made.mean_from_below);
    made.sd = sd_of(all);
    return made;
}

}  // namespace isoseam
