#include "calibration/screen_details.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "base/errors.h"
#include "base/quantity.h"

namespace isoseam {
namespace {

constexpr int kMostPixels = 100000;

bool parse_yes(std::string_view value) {
    if (value == "yes" || value == "no")
        return value == "yes";
    throw InputError(fmt::format("'{}' is neither yes nor no", value), "write yes or no");
}

int parse_bits(std::string_view value) {
    if (value == "8" || value == "10")
        return value == "8" ? 8 : 10;
    throw InputError(fmt::format("'{}' bits", value), "write 8 or 10");
}

template <class Value>
void fill(std::optional<Value>& value, const std::optional<Value>& other) {
    if (!value)
        value = other;
}

void fill(std::string& value, const std::string& other) {
    if (value.empty())
        value = other;
}

}  // namespace

std::pair<int, int> parse_resolution(std::string_view text) {
    int width = 0;
    int height = 0;
    const char* const last = text.data() + text.size();
    const auto first = std::from_chars(text.data(), last, width);
    const bool crossed = first.ec == std::errc{} && first.ptr < last && *first.ptr == 'x';
    const auto second = crossed ? std::from_chars(first.ptr + 1, last, height) : first;
    if (!(crossed && second.ec == std::errc{} && second.ptr == last && width > 0 && height > 0 &&
          std::max(width, height) <= kMostPixels)) {
        throw InputError(fmt::format("'{}' is no resolution", text),
                         "write width and height in pixels, as in 1920x1080");
    }
    return {width, height};
}

bool set_detail(std::string_view key, std::string_view value, ScreenDetails& details) {
    if (key == "screen") {
        details.name = std::string(value);
    } else if (key == "instrument") {
        details.measured_with = std::string(value);
    } else if (key == "measured on") {
        details.measured_on = parse_day(value);
    } else if (key == "warm-up") {
        details.warm_up_s = parse_quantity(value, Dimension::duration_s);
    } else if (key == "resolution") {
        const auto [width, height] = parse_resolution(value);
        details.width_px = width;
        details.height_px = height;
    } else if (key == "refresh") {
        details.refresh_hz = parse_quantity(value, Dimension::frequency_hz);
    } else if (key == "bits") {
        details.bits = parse_bits(value);
    } else if (key == "pixel pitch") {
        details.pixel_pitch_mm = parse_quantity(value, Dimension::length_mm);
    } else if (key == "invented") {
        details.invented = parse_yes(value);
    } else if (key == "estimated") {
        details.estimated = parse_yes(value);
    } else {
        return false;
    }
    return true;
}

std::vector<std::string> detail_lines(const ScreenDetails& details) {
    std::vector<std::string> lines;
    const auto add = [&](std::string_view key, const std::string& value) {
        lines.push_back(fmt::format("{}: {}", key, value));
    };
    if (details.name)
        add("screen", *details.name);
    if (details.measured_with)
        add("instrument", *details.measured_with);
    if (details.measured_on)
        add("measured on", to_string(*details.measured_on));
    if (details.warm_up_s)
        add("warm-up", fmt::format("{} s", *details.warm_up_s));
    if (details.width_px && details.height_px)
        add("resolution", fmt::format("{}x{}", *details.width_px, *details.height_px));
    if (details.refresh_hz)
        add("refresh", fmt::format("{} Hz", *details.refresh_hz));
    if (details.bits)
        add("bits", fmt::format("{}", *details.bits));
    if (details.pixel_pitch_mm)
        add("pixel pitch", fmt::format("{} mm", *details.pixel_pitch_mm));
    if (details.invented)
        add("invented", "yes");
    if (details.estimated)
        add("estimated", "yes");
    return lines;
}

ScreenDetails merged(ScreenDetails first, const ScreenDetails& second) {
    fill(first.name, second.name);
    fill(first.serial, second.serial);
    fill(first.panel, second.panel);
    fill(first.measured_on, second.measured_on);
    fill(first.measured_with, second.measured_with);
    fill(first.measured_how, second.measured_how);
    fill(first.warm_up_s, second.warm_up_s);
    fill(first.valid_until, second.valid_until);
    if (!first.width_px) {
        first.width_px = second.width_px;
        first.height_px = second.height_px;
    }
    fill(first.refresh_hz, second.refresh_hz);
    fill(first.bits, second.bits);
    fill(first.pixel_pitch_mm, second.pixel_pitch_mm);
    first.invented = first.invented || second.invented;
    first.estimated = first.estimated || second.estimated;
    return first;
}

}  // namespace isoseam
