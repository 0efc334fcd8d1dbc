#pragma once
// A calibration of a screen that nobody measured: typical spectra of its kind of panel, the luminance that
// somebody states, and a tone curve by eye. It is for showing and teaching, never for data.

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

// Fine lines at full drive among lines at 0 give this share of full light, from where the eye no longer sees
// lines: one line of four, two, three.
inline constexpr std::array<double, 3> kLinePatternShares{0.25, 0.5, 0.75};

// What a person set: the drives of a uniform patch that look like the three patterns.
struct ToneByEye {
    // light = drive ^ exponent, by least squares over the three in logarithms.
    double exponent = 0.0;
    std::array<double, 3> exponent_of_each{};  // each setting's own; they agree as far as a power law holds
};
// InputError (key "tone") unless the drives rise, lie inside 0 to 1 and give an exponent from 0.1 to 10.
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

// White has the chromaticity of D65. Black is a thousandth of white for LCDs, nothing for OLEDs (common
// practice, no source). The calibration is marked `estimated`. An InputError lists all faults of what a
// calibration file would refuse.
Calibration estimated_calibration(const DisplayEstimate& estimate);

}  // namespace isoseam
