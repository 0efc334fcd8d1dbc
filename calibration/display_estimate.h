#pragma once
// An estimate is a calibration of a screen that nobody measured: typical spectra of its kind of panel, a
// luminance that somebody states, and a tone curve set by eye. It is for showing and teaching, never for
// data.

#include <array>
#include <string>
#include <string_view>

#include "calibration/calibration.h"

namespace isoseam {

// How a panel makes its light. The spectra are invented, smooth and typical: no panel has just these.
enum class PanelType {
    white_led_lcd,   // colour filters before white LEDs (blue-pumped broad phosphor)
    wide_gamut_lcd,  // colour filters before a backlight of three bands
    oled,            // emitters without backlight; black gives no light
};
PanelType parse_panel_type(std::string_view word);  // "white-led-lcd", ...; InputError that lists the words
std::string to_string(PanelType panel);

// These are patterns of fine lines at full drive among lines at 0. Seen from so far away that the eye no
// longer sees the lines, they give these shares of full light: one line of four, of two, and three lines of
// four.
inline constexpr std::array<double, 3> kLinePatternShares{0.25, 0.5, 0.75};

// This is what a person set: the drives of a uniform patch that look like the three patterns.
struct ToneByEye {
    // Light = drive ^ exponent, by least squares in logarithms over the three settings.
    double exponent = 0.0;
    // The exponent of each setting alone. They agree as far as a power law holds.
    std::array<double, 3> exponent_of_each{};
};
// Throws an InputError (key "tone") unless the drives rise, lie between 0 and 1, and give an exponent from
// 0.1 to 10.
ToneByEye tone_from_line_patterns(const std::array<double, 3>& drives);

struct DisplayEstimate {
    PanelType panel = PanelType::white_led_lcd;
    std::string name;
    int width_px = 0;
    int height_px = 0;
    double screen_width_mm = 0.0;  // of the lit area
    double refresh_hz = 60.0;
    int bits = 8;
    double white_cd_m2 = 0.0;  // CIE 1931, black included
    double exponent = 2.2;     // of all primaries
    std::string tone_how;      // where the exponent comes from, in words
    Day estimated_on;
    Day valid_until;
};

// White has the chromaticity of D65. The luminance of black is a thousandth of that of white for LCDs and
// zero for OLEDs (common practice, no source). The calibration is marked `estimated`. Throws an InputError
// that lists every fault for which a calibration file would be refused.
Calibration estimated_calibration(const DisplayEstimate& estimate);

}  // namespace isoseam
