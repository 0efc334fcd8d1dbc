#pragma once
// A calibration holds what was measured of a screen. This header also has the file that keeps it.
//
//     const Calibration screen = read_calibration("left.yaml");

#include <compare>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/calendar.h"
#include "calibration/tone_response.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

inline constexpr int kCalibrationVersion = 1;

// Uncertainties are standard deviations of the values beside them, in the same unit. They are empty if nobody
// stated them.
struct Primary {
    std::string name;   // free text; differs from the others'
    Spectrum spectrum;  // at full drive, black subtracted, W/(sr m2 nm) or counts (see scale_known)
    ToneResponse tone;
    std::vector<double> spectrum_uncertainty = {};  // one for each sample
    // One for each parameter of the form, or for the light at each point.
    std::vector<double> tone_uncertainty = {};
};

// An interaction is the light that two or three primaries give beyond the sum of their own light (less light,
// if it is negative) when all of them are at full drive. At other drives it is multiplied by the linear light
// of each of them.
struct Interaction {
    std::vector<int> of;  // indices of primaries, rising
    Spectrum spectrum;    // signed
    std::vector<double> spectrum_uncertainty = {};
};

// A verification must keep within these limits.
struct VerificationLimits {
    double mean_de2000 = 1.0;                  // about a difference that can just be seen (common practice)
    double max_de2000 = 3.0;                   // common practice
    double cone_contrast_error_percent = 2.0;  // the largest; ours
};

// This is a valid calibration: the reader has checked everything. calibration/README.md describes the format.
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
    bool invented = false;                     // demo data: marked in every record
    bool estimated = false;                    // by eye and typical spectra: marked in every record
    Spectrum black;                            // all drives 0
    std::vector<Primary> primaries;            // 3 to 16
    std::vector<Interaction> interactions;     // if there are none, the light of the primaries adds up
    std::vector<double> noise;                 // the SD of one reading at each sample; may be empty
    std::vector<double> black_uncertainty;     // of each sample; may be empty
    std::optional<VerificationLimits> limits;  // if there are none, the file names no limits
    // If this is false, the spectra are counts of an instrument. They are proportional to radiance, by a
    // factor that nobody stated.
    bool scale_known = true;
    // These are the paths of keys whose value is "unknown". The members of these keys hold no information.
    std::vector<std::string> unknown;
    std::string unfit;  // why no experiment may use it; empty if experiments may
    std::string file;   // where it came from
    std::string text;   // the file's bytes, kept in every record
};

// Reads and checks a calibration file. Throws one InputError that lists all faults of the file with line,
// column and key: unknown keys (the nearest known key is named), wrong units, a wrong schema version, spectra
// that are not finite, negative spectra (beyond the noise, if the file states it; counts may be negative),
// wavelengths out of order, spectra that do not reach over 400 to 700 nm, tone points that do not rise,
// faulty dates, and primaries with nearly the same spectrum or nearly dependent cone excitations (condition
// number). Whether the calibration has expired depends on today's date: see expired().
Calibration read_calibration(const std::string& path);
Calibration parse_calibration(const std::string& text, const std::string& file);

// Gives the text of a calibration file that parse_calibration reads back to the same values, bit by bit. The
// spectra must share one grid (checked).
std::string calibration_text(const Calibration& calibration);

// Throws an InputError with every reason why the calibration cannot give the drives for a wanted light: a
// scale that nobody stated, or a screen that is unfit.
void require_known_lights(const Calibration& calibration);
// Requires the same, and also what must be known to show a light in its size and to know whether the
// calibration still holds: the screen's conditions and the last day of use.
void require_ready_for_session(const Calibration& calibration);

// A calibration is valid up to and on its day `valid_until`.
bool expired(const Calibration& calibration, const Day& today);

}  // namespace isoseam
