#include "stimuli/flicker.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "base/errors.h"

namespace isoseam {
namespace {

const char* name_of(FlickerForm form) {
    return form == FlickerForm::square ? "square" : "sine";
}

int step_of(FlickerForm form) {
    return form == FlickerForm::square ? 2 : 1;
}

int fewest_of(FlickerForm form) {
    return form == FlickerForm::square ? 2 : kFewestSineFrames;
}

std::string words(const FlickerRate& rate, double refresh_hz) {
    return fmt::format("{:.7g} Hz ({} frames a period)", rate.frequency_hz(refresh_hz),
                       rate.frames_per_period);
}

// The wave, -1..1, in a period of n frames. It adds up to 0 over a whole period.
double swing(const FlickerRate& rate, std::int64_t frame) {
    const int n = rate.frames_per_period;
    const int at = static_cast<int>(frame % n);
    if (rate.form == FlickerForm::square)
        return at < n / 2 ? 1.0 : -1.0;
    // Both halves of an even period use the same numbers, so that they cancel exactly.
    const bool second = n % 2 == 0 && at >= n / 2;
    const double value = std::sin(2.0 * std::numbers::pi * (second ? at - n / 2 : at) / n);
    return second ? -value : value;
}

// The ramp rises over `count` frames. Within them it is never quite 0 or 1, so that no frame of it is lost.
double raised_cosine(std::int64_t frame, int count) {
    if (frame >= count)
        return 1.0;
    return 0.5 - 0.5 * std::cos(std::numbers::pi * (static_cast<double>(frame) + 0.5) / count);
}

}  // namespace

NearestRates nearest_rates(FlickerForm form, double wanted_hz, double refresh_hz) {
    ISOSEAM_CHECK(
        wanted_hz > 0.0 && std::isfinite(wanted_hz) && refresh_hz > 0.0 && std::isfinite(refresh_hz),
        fmt::format("{} Hz on {} Hz", wanted_hz, refresh_hz));
    const int step = step_of(form);
    const int fewest = fewest_of(form);
    const double frames = refresh_hz / wanted_hz;
    if (!(frames <= kMostFramesPerPeriod)) {
        throw InputError("frequency", fmt::format("{:.7g} Hz is too slow for flicker", wanted_hz),
                         fmt::format("write at least {:.7g} Hz", refresh_hz / kMostFramesPerPeriod));
    }
    const int nearest = std::max(fewest, step * static_cast<int>(std::lround(frames / step)));
    if (std::abs(frames / nearest - 1.0) <= kSameFrequencyShare)
        return {FlickerRate{form, nearest}, FlickerRate{form, nearest}};
    const int fewer = step * static_cast<int>(std::floor(frames / step));
    NearestRates rates;
    rates.below = FlickerRate{form, std::max(fewest, fewer + step)};
    if (fewer >= fewest)
        rates.above = FlickerRate{form, fewer};
    return rates;
}

FlickerRate rate_of(FlickerForm form, double wanted_hz, double refresh_hz) {
    const NearestRates rates = nearest_rates(form, wanted_hz, refresh_hz);
    if (rates.above && rates.above->frames_per_period == rates.below->frames_per_period)
        return *rates.above;
    throw InputError("frequency",
                     fmt::format("a screen at {:.6g} Hz cannot show {} flicker of {:.7g} Hz", refresh_hz,
                                 name_of(form), wanted_hz),
                     rates.above ? fmt::format("nearest are {} and {}", words(*rates.below, refresh_hz),
                                               words(*rates.above, refresh_hz))
                                 : fmt::format("the fastest is {}", words(*rates.below, refresh_hz)));
}

double fundamental_share(const FlickerRate& rate) {
    if (rate.form == FlickerForm::square)
        return 4.0 / std::numbers::pi;
    const double angle = std::numbers::pi / rate.frames_per_period;
    return std::sin(angle) / angle;
}

void check_flicker(const Flicker& flicker) {
    std::vector<Fault> faults;
    const auto fault = [&](const char* key, std::string found, std::string remedy) {
        faults.push_back({"", 0, 0, key, std::move(found), std::move(remedy)});
    };
    const int n = flicker.rate.frames_per_period;
    const int fewest = fewest_of(flicker.rate.form);
    if (!(n >= fewest && n <= kMostFramesPerPeriod && n % step_of(flicker.rate.form) == 0)) {
        fault("frequency", fmt::format("a {} of {} frames a period", name_of(flicker.rate.form), n),
              flicker.rate.form == FlickerForm::square
                  ? "take an even number of at least 2, for two equal halves"
                  : fmt::format("take at least {}", fewest));
    }
    if (!(flicker.depth >= 0.0 && flicker.depth <= 1.0))
        fault("depth", fmt::format("a depth of {}", flicker.depth), "write 0 % to 100 %");
    if (flicker.onset_frames < 0)
        fault("onset", fmt::format("an onset of {} frames", flicker.onset_frames), "write 0 or more");
    if (flicker.offset_frames < 0)
        fault("offset", fmt::format("an offset of {} frames", flicker.offset_frames), "write 0 or more");
    const std::int64_t ramps = std::int64_t{flicker.onset_frames} + flicker.offset_frames;
    if (flicker.end_frame && faults.empty() && *flicker.end_frame < ramps) {
        fault("duration",
              fmt::format("{} frames, of which onset and offset take {}", *flicker.end_frame, ramps),
              "make it longer, or onset and offset shorter");
    }
    throw_if_any(faults);
}

double flicker_depth(const Flicker& flicker, std::int64_t frame) {
    if (frame < 0 || (flicker.end_frame && frame >= *flicker.end_frame))
        return 0.0;
    double depth = flicker.depth * raised_cosine(frame, flicker.onset_frames);
    if (flicker.end_frame)
        depth *= raised_cosine(*flicker.end_frame - 1 - frame, flicker.offset_frames);
    return depth;
}

FrameWeights flicker_frame(const Flicker& flicker, std::int64_t frame) {
    const double depth = flicker_depth(flicker, frame);
    const double towards_a = frame < 0 ? 0.0 : 0.5 * depth * swing(flicker.rate, frame);
    const LightWeights first{0.5 + towards_a, 0.5 - towards_a};
    const LightWeights second = flicker.exchange == Exchange::lights ? first : LightWeights{first.b, first.a};
    return {{first, second}};
}

Flicker ending_from(const Flicker& flicker, std::int64_t frame) {
    Flicker ending = flicker;
    const std::int64_t from = std::max<std::int64_t>(frame, flicker.onset_frames);
    const std::int64_t end = from + flicker.offset_frames;
    ending.end_frame = flicker.end_frame ? std::min(*flicker.end_frame, end) : end;
    return ending;
}

}  // namespace isoseam
