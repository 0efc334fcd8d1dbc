#pragma once
// A person's seat at a virtual screen, as several tests take it.

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <functional>
#include <string>
#include <utility>

#include "runner/screen/screen_station.h"
#include "support/seats/flicker_run.h"

namespace isoseam::test {

inline constexpr double kPatienceSeconds = 10.0;

inline ScreenOptions on_screen() {
    ScreenOptions options;
    options.screen_of_source = {0};
    options.despite_unsynchronised = true;
    return options;
}

inline Presentation endless(std::function<FieldLights(std::int64_t)> lights) {
    return {std::move(lights), {}, std::nullopt};
}

// The next thing that the observer does; NoAction after a while without.
inline Action awaited(Station& station) {
    const double until_s = station.now_s() + kPatienceSeconds;
    while (station.now_s() < until_s) {
        const Action action = station.wait(0.1);
        if (!std::holds_alternative<NoAction>(action))
            return action;
    }
    return {};
}

inline bool mended(Station& station) {
    const double until_s = station.now_s() + kPatienceSeconds;
    while (station.now_s() < until_s) {
        if (!station.interruption())
            return true;
        static_cast<void>(station.wait(0.05));
    }
    return false;
}

inline void send(const std::string& action) {
    REQUIRE(std::system(fmt::format("xdotool {}", action).c_str()) == 0);
}

inline FieldLights some_field() {
    return flicker_lights({}, bright_and_dim(), 0);
}

}  // namespace isoseam::test
