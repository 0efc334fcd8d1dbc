#pragma once
// What was measured of a screen, and the file that keeps it.
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

// Uncertainties are standard deviations of what stands beside them, in its unit; empty where nobody told.
struct Primary {
    std::string name;   // free text; differs from the others'
    Spectrum spectrum;  // at full drive, black subtracted, W/(sr m2 nm) or counts (see scale_known)
    ToneResponse tone;
    std::vector<double> spectrum_uncertainty = {};  // one for each sample
    std::vector<double> tone_uncertainty = {};  // one for each parameter of its form, or each point's light
};

// Light that two or three primaries give beyond the sum of their own (less, where negative), when all of them
// are at full drive. At other drives it is multiplied by the linear light of each.
struct Interaction {
    std::vector<int> of;  // indices of primaries, rising
    Spectrum spectrum;    // signed
    std::vector<double> spectrum_uncertainty = {};
};

// What a verification must keep within.
struct VerificationLimits {
    double mean_de2000 = 1.0;                  // about a difference that can just be seen (common practice)
    double max_de2000 = 3.0;                   // common practice
    double cone_contrast_error_percent = 2.0;  // the largest; ours
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
    bool invented = false;                     // demo data: marked in every record
    bool estimated = false;                    // by eye and typical spectra: marked in every record
    Spectrum black;                            // all drives 0
    std::vector<Primary> primaries;            // 3 to 16
    std::vector<Interaction> interactions;     // none: the screen adds its primaries up
    std::vector<double> noise;                 // SD of one reading for each sample; may be empty
    std::vector<double> black_uncertainty;     // of each sample; may be empty
    std::optional<VerificationLimits> limits;  // none: the file names none
    // False: the spectra are counts of an instrument, proportional to radiance by a factor that nobody told.
    bool scale_known = true;
    // Paths of keys whose value is "unknown": their members here hold no information.
    std::vector<std::string> unknown;
    std::string unfit;  // why no experiment may use it; empty: it may
    std::string file;   // where it came from
    std::string text;   // the file's bytes, kept in every record
};

// Reads and checks. Throws one InputError that lists all faults of the file with line, column and key:
// unknown keys (nearest known one named), wrong units, schema version, non-finite spectra, negative ones
// (beyond the noise, where the file tells it; counts may be negative), wavelengths out of order, spectra that
// do not reach over 400 to 700 nm, tone points that do not rise, dates, primaries with nearly the same
// spectrum or nearly dependent cone excitations (condition number). Whether it has expired is a matter of
// today's date: see expired().
Calibration read_calibration(const std::string& path);
Calibration parse_calibration(const std::string& text, const std::string& file);

// The text of a calibration file that parse_calibration reads back to the same values, bit by bit. The
// spectra must share one grid (checked).
std::string calibration_text(const Calibration& calibration);

// Throws an InputError with everything that keeps a calibration from telling the drives for a wanted light: a
// scale that nobody told, a screen that is unfit.
void require_known_lights(const Calibration& calibration);
// The same, and what must be known to show a light in its size, and to know whether it still holds: the
// screen's conditions and the last day of use.
void require_ready_for_session(const Calibration& calibration);

// A calibration is valid up to and on its day `valid_until`.
bool expired(const Calibration& calibration, const Day& today);

}  // namespace isoseam
