#include "runner/screen/preflight.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <ctime>

namespace isoseam {
namespace {

// Refresh rates that systems report are rounded differently (59.94 as 60, 59 or 59.94).
constexpr double kRefreshToleranceHz = 1.1;

const std::array<std::pair<const char*, Despite>, 5> kDespiteWords{{
    {"expired", Despite::expired},
    {"estimated", Despite::estimated},
    {"resolution", Despite::resolution},
    {"refresh", Despite::refresh},
    {"unsynchronised", Despite::unsynchronised},
}};

// Either refuses or returns the warning.
std::string refuse_or_warn(const std::string& found, const std::string& remedy, Despite which,
                           const char* word, const std::set<Despite>& despite) {
    if (despite.count(which) == 0)
        throw MachineError(found,
                           fmt::format("{}, or go on with --despite {} (it will be recorded)", remedy, word));
    return found;
}

void check_one_screen(const Calibration& calibration, const ScreenRecord& screen, bool full_screen,
                      const std::set<Despite>& despite, std::vector<std::string>& warnings) {
    if (full_screen &&
        (screen.width_px != calibration.width_px || screen.height_px != calibration.height_px)) {
        warnings.push_back(refuse_or_warn(
            fmt::format("screen {} has {} x {} pixels, but '{}' was calibrated at {} x {}", screen.index,
                        screen.width_px, screen.height_px, calibration.name, calibration.width_px,
                        calibration.height_px),
            "set the screen to the calibrated resolution", Despite::resolution, "resolution", despite));
    }
    if (screen.refresh_hz <= 0.0) {
        warnings.push_back(fmt::format(
            "screen {}: the system does not tell the refresh rate ('{}' was calibrated at {:g} Hz)",
            screen.index, calibration.name, calibration.refresh_hz));
    } else if (!(std::abs(screen.refresh_hz - calibration.refresh_hz) <= kRefreshToleranceHz)) {
        warnings.push_back(refuse_or_warn(
            fmt::format("screen {} runs at {:g} Hz, but '{}' was calibrated at {:g} Hz", screen.index,
                        screen.refresh_hz, calibration.name, calibration.refresh_hz),
            "set the screen to the calibrated refresh rate", Despite::refresh, "refresh", despite));
    }
    if (screen.bits != calibration.bits) {
        warnings.push_back(
            fmt::format("screen {}: the frame buffer has {} bits per channel, '{}' was calibrated with {}",
                        screen.index, screen.bits, calibration.name, calibration.bits));
    }
}

}  // namespace

Despite parse_despite(const std::string& word) {
    for (const auto& [name, despite] : kDespiteWords) {
        if (word == name)
            return despite;
    }
    throw InputError(Fault{"", 0, 0, "--despite", fmt::format("unknown word '{}'", word),
                           "write one of: expired, estimated, resolution, refresh, unsynchronised"});
}

std::vector<std::string> check_validity(const Setup& setup, Day today, const std::set<Despite>& despite) {
    std::vector<Fault> faults;
    std::vector<std::string> warnings;
    for (int source = 0; source < setup.source_count(); ++source) {
        const Calibration& calibration = setup.solver(source).display().calibration();
        const auto refuse_or_note = [&](Despite which, const char* key, const std::string& found,
                                        const char* remedy) {
            if (despite.count(which) > 0)
                warnings.push_back(found);
            else
                faults.push_back({calibration.file, 0, 0, key, found, remedy});
        };
        if (!(today <= calibration.valid_until)) {
            refuse_or_note(
                Despite::expired, "valid_until",
                fmt::format("the calibration of '{}' expired on {} (today is {})", calibration.name,
                            to_string(calibration.valid_until), to_string(today)),
                "measure the screen again, or go on with --despite expired (it will be recorded)");
        }
        if (calibration.estimated) {
            refuse_or_note(
                Despite::estimated, "estimated",
                fmt::format("the calibration of '{}' is estimated, not measured", calibration.name),
                "measure the screen, or go on with --despite estimated (it will be recorded; not for "
                "data)");
        }
    }
    if (!faults.empty())
        throw InputError(faults);
    return warnings;
}

std::vector<std::string> check_screens(const Setup& setup, const Station& station, bool full_screen,
                                       const std::set<Despite>& despite) {
    std::vector<std::string> warnings;
    const std::vector<SourceRecord> sources = station.sources();
    for (const ScreenRecord& screen : station.screens()) {
        for (std::size_t source = 0; source < sources.size(); ++source) {
            if (sources[source].screen == screen.index)
                check_one_screen(setup.solver(static_cast<int>(source)).display().calibration(), screen,
                                 full_screen, despite, warnings);
        }
    }
    if (!full_screen)
        warnings.emplace_back("shown in a window, not full screen: for trying out, not for data");
    return warnings;
}

std::vector<std::string> check_clocks(const std::vector<ScreenRecord>& screens,
                                      const std::set<Despite>& despite) {
    std::vector<std::string> warnings;
    for (const ScreenRecord& screen : screens) {
        if (!screen.clock || !screen.clock->synchronised) {
            warnings.push_back(refuse_or_warn(
                fmt::format(
                    "screen {}: frames do not wait for its refresh, so a stimulus that is timed by frames is "
                    "not exact and may be torn",
                    screen.index),
                "switch on vertical synchronisation in the graphics driver and show full screen",
                Despite::unsynchronised, "unsynchronised", despite));
        }
        if (!screen.clock || !screen.clock->latency_ms) {
            warnings.push_back(
                fmt::format("screen {}: the display's latency is not known, so no time here is the time of "
                            "its light (state a "
                            "measured one with --display-latency)",
                            screen.index));
        }
    }
    return warnings;
}

std::vector<std::string> check_shared_screens(const Setup& setup, const std::vector<int>& screen_of_source) {
    if (setup.source_count() < 2 || screen_of_source[0] != screen_of_source[1])
        return {};
    const Protocol& protocol = setup.protocol();
    const Calibration& first = setup.solver(0).display().calibration();
    const Calibration& second = setup.solver(1).display().calibration();
    if (first.pixel_pitch_mm != second.pixel_pitch_mm ||
        protocol.rig.mirrored[0] != protocol.rig.mirrored[1]) {
        throw InputError(
            Fault{protocol.file, 0, 0, "rig",
                  fmt::format("'{}' and '{}' differ in pixel pitch or mirroring, but are to share screen {}",
                              first.name, second.name, screen_of_source[0]),
                  "name a screen for each source: --screen 0 --screen 1"});
    }
    if (first.text == second.text)
        return {};
    return {
        fmt::format("'{}' and '{}' share screen {}: right where a filter covers one half, or for trying out; "
                    "for two screens give "
                    "--screen 0 --screen 1",
                    first.name, second.name, screen_of_source[0])};
}

void check_space(const std::string& folder, std::uint64_t free) {
    if (free < kNeededBytes) {
        throw MachineError(fmt::format("'{}' has {} MB free, a session wants {} MB", folder, free / 1'000'000,
                                       kNeededBytes / 1'000'000),
                           "make space there, or name another folder with --out");
    }
}

std::vector<std::string> gamepad_warnings(const std::vector<std::string>& unknown_gamepads) {
    std::vector<std::string> warnings;
    for (const std::string& name : unknown_gamepads) {
        warnings.push_back(fmt::format(
            "the gamepad '{}' is not one whose buttons are known: it is ignored; use the keyboard, or "
            "describe it in the environment variable SDL_GAMECONTROLLERCONFIG",
            name));
    }
    return warnings;
}

}  // namespace isoseam
