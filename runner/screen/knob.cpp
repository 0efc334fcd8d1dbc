#include "runner/screen/knob.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kTravel = 2.0;  // from -1 to 1

std::optional<int> number(const std::string& digits) {
    int value = 0;
    const char* const end = digits.data() + digits.size();
    const auto [stopped, failure] = std::from_chars(digits.data(), end, value);
    if (failure != std::errc() || stopped != end || value < 0)
        return std::nullopt;
    return value;
}

}  // namespace

KnobAxis parse_knob(const std::string& words) {
    const std::size_t colon = words.find(':');
    if (colon != std::string::npos) {
        const std::optional<int> device = number(words.substr(0, colon));
        const std::optional<int> axis = number(words.substr(colon + 1));
        if (device && axis)
            return {*device, *axis};
    }
    throw InputError(Fault{"", 0, 0, "--knob", fmt::format("'{}' names no axis of a device", words),
                           "write DEVICE:AXIS, such as 0:2, with the numbers that 'isoseam session devices' "
                           "lists"});
}

int Knob::turned_to(double position) {
    if (!position_) {
        position_ = position;
        left_over_ = 0.0;
        return 0;
    }
    double moved = position - *position_;
    if (std::abs(moved) > kTravel / 2.0)
        moved -= std::copysign(kTravel, moved);
    position_ = position;
    left_over_ += moved / kTravel * kKnobStepsPerTravel;
    const double whole = std::trunc(left_over_);
    left_over_ -= whole;
    return static_cast<int>(whole);
}

}  // namespace isoseam
