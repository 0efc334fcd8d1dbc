#pragma once
// How far a stimulus stays below published limits for flashes, made for general audiences so that people with
// photosensitive epilepsy are not harmed. Staying below them does not make a stimulus safe for everybody.
//
//   WCAG 2.2 (W3C), success criterion 2.3.1 with the definitions "general flash and red flash thresholds":
//     no more than three general flashes and no more than three red flashes within any one second, or
//     flashing areas of at most 0.006 sr together within any 10 degrees of the visual field (a disc of 5.0
//     degrees). A general flash is a pair of opposing changes of relative luminance by 10 % of the maximum or
//     more, where the darker state is below 0.80. A red flash is a pair of opposing transitions involving a
//     saturated red, R / (R + G + B) >= 0.8 in linear sRGB, where (R - G - B) x 320 (negative values set to
//     0) changes by more than 20, or, since 2.2, the states are more than 0.2 apart in the CIE 1976
//     chromaticity diagram. What satisfies either counts here. (Both from memory.)
//   ITU-R BT.1702 (all from memory):
//     a flash is a pair of opposing changes of luminance by 20 cd/m2 or more where the darker state is below
//     160 cd/m2, or by a Michelson contrast of 1/17 or more where it is not; or a pair of transitions to and
//     from a saturated red. Not more than three flashes may fall within any one second, or the flashing areas
//     may take at most a quarter of the screen.

#include <optional>
#include <string>
#include <vector>

#include "base/quantity.h"
#include "colorimetry/colour_types.h"
#include "stimuli/flicker.h"

namespace isoseam {

// What flashes, as an area of one light that changes with time.
struct FlashingArea {
    double frames_per_s = 0.0;
    std::vector<Xyz> frames;   // its light, in cd/m2, black of the screen included
    double white_cd_m2 = 0.0;  // the screen's largest luminance: relative luminance 1
    // All areas that flash at the same time, taken together.
    double solid_angle_sr = 0.0;  // the largest within any disc of 10 degrees
    double screen_share = 0.0;    // their share of the screen's area, 0..1
};

inline constexpr int kMostFlashesPerSecond = 3;
inline constexpr double kMostFlashingSr = 0.006;
inline constexpr double kMostFlashingScreenShare = 0.25;

struct FlashVerdict {
    std::string limit;  // "WCAG 2.2", "ITU-R BT.1702"
    bool within = false;
    int general_flashes = 0;  // the most in any second
    int red_flashes = 0;
    double area = 0.0;  // in area_unit
    double area_allowed = 0.0;
    std::string area_unit;  // "sr", "of the screen"
    std::string words;      // all of it in a sentence
};

// One verdict per limit. Frames must be finite, at least one, the rate and white positive (checked).
std::vector<FlashVerdict> flash_verdicts(const FlashingArea& area);

// The most flashes that any second holds, by each definition.
struct FlashCounts {
    int wcag_general = 0;
    int wcag_red = 0;
    int bt1702_luminance = 0;
    int red_by_chromaticity = 0;  // part of wcag_red; what BT.1702 is held to
};
FlashCounts count_flashes(const FlashingArea& area);

// Flicker between two lights over some seconds, its ramps included. Exchanged halves flash at the same time.
FlashingArea flashing_area(const Flicker& flicker, double refresh_hz, const Xyz& a, const Xyz& b,
                           double seconds);

// The solid angle of a disc seen under this angle: 2 pi (1 - cos(angle / 2)).
double disc_solid_angle_sr(Degrees diameter);

// Flicker of about 3 to 60 Hz can trigger seizures in photosensitive people. This is the caution in plain
// words; there is none outside that range, which is that of the trade's own guidance (common practice, from
// memory).
inline constexpr double kSeizureLowestHz = 3.0;
inline constexpr double kSeizureHighestHz = 60.0;
std::optional<std::string> seizure_caution(double frequency_hz);

}  // namespace isoseam
