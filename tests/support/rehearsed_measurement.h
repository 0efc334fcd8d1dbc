#pragma once
// A measurement without screen and clock.

#include <functional>

#include "calibration/instruments/instrument.h"
#include "calibration/measuring/measuring_state.h"

namespace isoseam::test {

inline constexpr double kReadingSeconds = 5.0;

// The reading that the state asks for, at its simulated time.
inline ReadingTaken taken_by(Instrument& instrument, const MeasuringState& state, const ReadNext& next) {
    ShownPatch shown = next.shown;
    shown.at_s = std::max(next.earliest_s, state.readings.empty() ? 0.0 : state.last_at_s + kReadingSeconds);
    return {shown.step, shown.at_s, std::get<InstrumentSpectrum>(instrument.read(shown))};
}

// Reads on until all is read, white does not settle, or `stop` says so.
inline MeasuringState rehearsed(
    MeasuringState state, Instrument& instrument,
    const std::function<bool(const MeasuringState&)>& stop = [](const MeasuringState&) { return false; }) {
    while (!stop(state)) {
        const MeasuringNext next = next_of(state);
        const auto* read = std::get_if<ReadNext>(&next);
        if (read == nullptr)
            break;
        const ReadingTaken taken = taken_by(instrument, state, *read);
        state = after(std::move(state), taken);
    }
    return state;
}

}  // namespace isoseam::test
