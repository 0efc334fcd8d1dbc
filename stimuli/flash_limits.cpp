#include "stimuli/flash_limits.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "base/errors.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

constexpr double kWcagChange = 0.10;
constexpr double kWcagDarkBelow = 0.80;
constexpr double kBt1702ChangeCdM2 = 20.0;
constexpr double kBt1702DarkBelowCdM2 = 160.0;
constexpr double kBt1702Contrast = 1.0 / 17.0;
constexpr double kSaturatedRed = 0.8;
constexpr double kRedScale = 320.0;
constexpr double kRedChange = 20.0;
constexpr double kRedChromaticityChange = 0.2;
// A change of exactly the limit, as a light at 20 % and 10 % of white, must not be lost to rounding.
constexpr double kRounding = 1e-9;
// Below this share of white a light has no chromaticity worth the name.
constexpr double kNoLight = 1e-4;

// A moment of the area, in the terms of the limits.
struct State {
    double luminance_cd_m2 = 0.0;
    double relative = 0.0;
    bool saturated_red = false;
    double redness = 0.0;  // (R - G - B) x 320, but not below 0.
    std::optional<UniformChromaticity> chromaticity;
};

// Linear sRGB from XYZ relative to white: IEC 61966-2-1.
Eigen::Vector3d linear_srgb(const Xyz& xyz, double white_cd_m2) {
    Eigen::Matrix3d srgb_from_xyz;
    srgb_from_xyz << 3.2406, -1.5372, -0.4986,  //
        -0.9689, 1.8758, 0.0415,                //
        0.0557, -0.2040, 1.0570;
    // A colour beyond sRGB has negative parts: it is taken as if it lay on the border.
    return (srgb_from_xyz * xyz.vector() / white_cd_m2).cwiseMax(0.0);
}

State state_of(const Xyz& xyz, double white_cd_m2) {
    State state;
    state.luminance_cd_m2 = xyz.y;
    state.relative = xyz.y / white_cd_m2;
    const Eigen::Vector3d rgb = linear_srgb(xyz, white_cd_m2);
    if (rgb.sum() > kNoLight) {
        state.saturated_red = rgb[0] / rgb.sum() >= kSaturatedRed - kRounding;
        state.chromaticity = uniform_chromaticity_from_xyz(xyz);
    }
    state.redness = std::max(0.0, rgb[0] - rgb[1] - rgb[2]) * kRedScale;
    return state;
}

// The frames at which `value` has changed the other way: from its last low by a rise, or from its last high
// by a fall, that `changes(low, high)` calls a change.
std::vector<std::size_t> turns(const std::vector<State>& states, double State::*value,
                               const std::function<bool(const State&, const State&)>& changes) {
    std::vector<std::size_t> found;
    std::size_t low = 0, high = 0;
    int direction = 0;  // of the last change
    for (std::size_t k = 1; k < states.size(); ++k) {
        if (states[k].*value < states[low].*value)
            low = k;
        if (states[k].*value > states[high].*value)
            high = k;
        if (direction >= 0 && high < k && changes(states[k], states[high])) {
            direction = -1;
        } else if (direction <= 0 && low < k && changes(states[low], states[k])) {
            direction = 1;
        } else {
            continue;
        }
        found.push_back(k);
        low = high = k;
    }
    return found;
}

// The frames at which the light enters or leaves a saturated red. An entry or exit counts only if, since the
// last one, some state on the other side was far enough away in chromaticity.
std::vector<std::size_t> red_turns_by_chromaticity(const std::vector<State>& states) {
    const auto apart = [](const State& a, const State& b) {
        return a.chromaticity && b.chromaticity &&
               std::hypot(a.chromaticity->u_prime - b.chromaticity->u_prime,
                          a.chromaticity->v_prime - b.chromaticity->v_prime) > kRedChromaticityChange;
    };
    std::vector<std::size_t> found;
    std::optional<bool> last_was_red;
    std::size_t from = 0;
    for (std::size_t k = 1; k < states.size(); ++k) {
        const bool red = states[k].saturated_red;
        if (last_was_red == red)
            continue;
        for (std::size_t i = from; i < k; ++i) {
            if (states[i].saturated_red != red && apart(states[i], states[k])) {
                found.push_back(k);
                last_was_red = red;
                from = k;
                break;
            }
        }
    }
    return found;
}

// The number of pairs of opposing changes in the second that holds most of them.
int most_flashes(const std::vector<std::size_t>& changes, double frames_per_s) {
    std::size_t most = 0;
    for (std::size_t first = 0, last = 0; last < changes.size(); ++last) {
        while (static_cast<double>(changes[last] - changes[first]) >= frames_per_s * (1.0 - kRounding))
            ++first;
        most = std::max(most, last - first + 1);
    }
    return static_cast<int>(most / 2);
}

void check_area(const FlashingArea& area) {
    ISOSEAM_CHECK_GT(area.frames_per_s, 0.0);
    ISOSEAM_CHECK_GT(area.white_cd_m2, 0.0);
    ISOSEAM_CHECK(!area.frames.empty());
    ISOSEAM_CHECK_GE(area.solid_angle_sr, 0.0);
    ISOSEAM_CHECK_BETWEEN(area.screen_share, 0.0, 1.0);
    for (const Xyz& xyz : area.frames)
        ISOSEAM_CHECK(xyz.vector().allFinite(), fmt::format("XYZ {} {} {}", xyz.x, xyz.y, xyz.z));
}

FlashVerdict verdict(const char* limit, int general, int red, double area, double allowed, const char* unit) {
    FlashVerdict result{limit, false, general, red, area, allowed, unit, ""};
    const bool few = std::max(general, red) <= kMostFlashesPerSecond;
    const bool small = area <= allowed * (1.0 + kRounding);
    result.within = few || small;
    result.words = fmt::format(
        "{} {}: up to {} general and {} red flashes within a second ({} are allowed) on {:.3g} {} ({} are "
        "allowed "
        "whatever flashes)",
        result.within ? "within" : "above", limit, general, red, kMostFlashesPerSecond, area, unit, allowed);
    return result;
}

}  // namespace

FlashCounts count_flashes(const FlashingArea& area) {
    check_area(area);
    std::vector<State> states;
    for (const Xyz& xyz : area.frames)
        states.push_back(state_of(xyz, area.white_cd_m2));
    const auto most = [&](const std::vector<std::size_t>& changes) {
        return most_flashes(changes, area.frames_per_s);
    };
    FlashCounts counts;
    counts.wcag_general = most(turns(states, &State::relative, [](const State& low, const State& high) {
        return high.relative - low.relative >= kWcagChange - kRounding && low.relative < kWcagDarkBelow;
    }));
    counts.bt1702_luminance =
        most(turns(states, &State::luminance_cd_m2, [](const State& low, const State& high) {
            const double change = high.luminance_cd_m2 - low.luminance_cd_m2;
            if (low.luminance_cd_m2 < kBt1702DarkBelowCdM2)
                return change >= kBt1702ChangeCdM2 - kRounding;
            return change / (high.luminance_cd_m2 + low.luminance_cd_m2) >= kBt1702Contrast - kRounding;
        }));
    counts.red_by_chromaticity = most(red_turns_by_chromaticity(states));
    const int by_redness = most(turns(states, &State::redness, [](const State& low, const State& high) {
        return high.redness - low.redness > kRedChange && (low.saturated_red || high.saturated_red);
    }));
    counts.wcag_red = std::max(counts.red_by_chromaticity, by_redness);
    return counts;
}

std::vector<FlashVerdict> flash_verdicts(const FlashingArea& area) {
    const FlashCounts counts = count_flashes(area);
    return {
        verdict("WCAG 2.2", counts.wcag_general, counts.wcag_red, area.solid_angle_sr, kMostFlashingSr, "sr"),
        verdict("ITU-R BT.1702", counts.bt1702_luminance, counts.red_by_chromaticity, area.screen_share,
                kMostFlashingScreenShare, "of the screen")};
}

FlashingArea flashing_area(const Flicker& flicker, double refresh_hz, const Xyz& a, const Xyz& b,
                           double seconds) {
    check_flicker(flicker);
    FlashingArea area;
    area.frames_per_s = refresh_hz;
    const auto count = static_cast<std::int64_t>(std::ceil(seconds * refresh_hz));
    for (std::int64_t k = 0; k < count; ++k) {
        const LightWeights weights = flicker_frame(flicker, k).halves[0];
        area.frames.push_back(Xyz::from_vector(weights.a * a.vector() + weights.b * b.vector()));
    }
    return area;
}

double disc_solid_angle_sr(Degrees diameter) {
    return 2.0 * std::numbers::pi * (1.0 - std::cos(diameter.degrees() / 2.0 * std::numbers::pi / 180.0));
}

std::optional<std::string> seizure_caution(double frequency_hz) {
    if (!(frequency_hz >= kSeizureLowestHz && frequency_hz <= kSeizureHighestHz))
        return std::nullopt;
    return fmt::format(
        "Flicker of {:.4g} Hz can trigger seizures in photosensitive people, as flicker between about {:g} "
        "and {:g} Hz "
        "can, and saturated long-wave flicker the more so. Ask beforehand whom it could harm, have a way to "
        "stop it "
        "at once, and follow your ethics board, ITU-R BT.1702 and WCAG 2.2.",
        frequency_hz, kSeizureLowestHz, kSeizureHighestHz);
}

}  // namespace isoseam
