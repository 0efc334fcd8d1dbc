#pragma once
// These details are what readings of a screen do not show by themselves: which screen, when, with which
// instrument, at which settings.

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "calibration/calibration.h"

namespace isoseam {

// What is left out stands as "unknown" in a calibration.
struct ScreenDetails {
    std::optional<std::string> name;
    std::string serial;
    std::string panel;
    std::optional<Day> measured_on;
    std::optional<std::string> measured_with;
    std::string measured_how;
    std::optional<double> warm_up_s;
    std::optional<Day> valid_until;
    std::optional<int> width_px, height_px;  // both or none
    std::optional<double> refresh_hz;
    std::optional<int> bits;
    std::optional<double> pixel_pitch_mm;
    bool invented = false;   // no real screen
    bool estimated = false;  // its spectra are typical ones, not measured
};

// Reads text such as "1920x1080", with at most 100000 in each direction. Throws an InputError for anything
// else.
std::pair<int, int> parse_resolution(std::string_view text);

// Sets one detail as the comments of a table of readings give it: "screen", "instrument", "measured on",
// "warm-up", "resolution", "refresh", "bits", "pixel pitch", "invented", "estimated". Returns false for any
// other key. Throws an InputError for a value that the key cannot have.
bool set_detail(std::string_view key, std::string_view value, ScreenDetails& details);
// Gives the lines "key: value" that set_detail reads back to the same details. Details without a key have no
// line.
std::vector<std::string> detail_lines(const ScreenDetails& details);

// Gives `first`, with what it leaves out taken from `second`. The result is invented or estimated if either
// is.
ScreenDetails merged(ScreenDetails first, const ScreenDetails& second);

}  // namespace isoseam
