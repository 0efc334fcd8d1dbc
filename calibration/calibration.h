#pragma once
// What was measured of a screen, and the file that keeps it.

#include <compare>
#include <string>
#include <string_view>
#include <vector>

#include "calibration/tone_response.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

inline constexpr int kCalibrationVersion = 1;

// A calendar day, proleptic Gregorian.
struct Day {
    int year = 0;
    int month = 0;
    int day = 0;
    // clang-tidy takes the zero in the comparison that the compiler writes for a pointer.
    friend auto operator<=>(const Day&, const Day&) = default;
};
Day parse_day(std::string_view text);  // "2026-11-20"; InputError otherwise
std::string to_string(const Day& day);

struct Primary {
    std::string name;   // free text; differs from the others'
    Spectrum spectrum;  // at full drive, black subtracted, W/(sr m2 nm)
    ToneResponse tone;
};

// A valid calibration: the reader has checked everything. Format in calibration/README.md.
struct Calibration {
    std::string name;    // of the screen, as the lab calls it
    std::string serial;  // may be empty
    std::string panel;   // technology, free text; may be empty
    Day measured_on;
    std::string measured_with;  // instrument, free text
    std::string measured_how;   // free text; may be empty
    double warm_up_s = 0.0;     // how long the screen had been on
    Day valid_until;
    int width_px = 0;
    int height_px = 0;
    double refresh_hz = 0.0;
    int bits = 8;  // 8 or 10, of the frame buffer while measuring
    double pixel_pitch_mm = 0.0;
    bool invented = false;           // demo data: marked in every record
    Spectrum black;                  // all drives 0
    std::vector<Primary> primaries;  // 3 to 16
    std::string file;                // where it came from
    std::string text;                // the file's bytes, kept in every record
};

// Reads and checks. Throws one InputError that lists all faults of the file with line, column and key:
// unknown keys (nearest known one named), wrong units, schema version, negative or non-finite spectra,
// wavelengths out of order, spectra that do not reach over 400 to 700 nm, tone points that do not rise,
// dates, primaries with nearly the same spectrum or nearly dependent cone excitations (condition number).
// Whether it has expired is a matter of today's date: see expired().
Calibration read_calibration(const std::string& path);
Calibration parse_calibration(const std::string& text, const std::string& file);

// The text of a calibration file that parse_calibration reads back to the same values, bit by bit. The
// spectra must share one grid (checked).
std::string calibration_text(const Calibration& calibration);

// A calibration is valid up to and on its day `valid_until`.
bool expired(const Calibration& calibration, const Day& today);

}  // namespace isoseam
