#pragma once
// What `isoseam display show` says of a calibrated screen: one set of values, written as text or as JSON.
//
//     ScreenDescription screen = describe_screen(display, observer);
//     screen.abilities = abilities_of(DriveSolver(display, observer), "");
//     fmt::print("{}", screen_description_text(screen));

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "calibration/display_model.h"
#include "stimuli/display_abilities.h"

namespace isoseam {

// One primary at full drive, without the screen's black.
struct PrimaryLight {
    std::string name;
    Xyz xyz;
    Lms lms;
};

// The light from which contrasts and steps are counted.
struct GreyBackground {
    std::string text;  // the light in the grammar of lights, or in words
    LinearDrive linear;
    Lms lms;
    Xyz xyz;
};

struct ScreenAbilities {
    DisplayGamut gamut;
    GreyBackground grey;
    std::vector<LargestContrast> largest_contrasts;  // all start from the grey
    // What a change by one code does at the grey.
    ConeContrast step_of_8_bits;
    ConeContrast step_of_10_bits;
    ConeContrast step_of_8_bits_dithered;
};
// From about this contrast on, the best observers can tell a change of L alone, or of M alone (common
// practice, no source).
inline constexpr double kThresholdPercent = 0.1;

struct ScreenDescription {
    Calibration calibration;
    bool expired = false;
    int days_left = 0;  // negative after the last day of use
    bool additive = true;
    std::vector<PrimaryLight> primaries;
    Xyz white;
    Xyz black;
    double condition_number = 0.0;  // that of the primaries' cone excitations
    std::string observer;
    std::optional<ScreenAbilities> abilities;  // none: drives cannot be computed for wanted lights
};

// Tells what the calibration says, with the days counted from today. `abilities` is left empty.
ScreenDescription describe_screen(const DisplayModel& display, const Observer& observer);

// `grey_words` is a light in the grammar of colorimetry/light.h. "" means a light with the chromaticity of
// white and a quarter of its luminance. InputError (key "--grey") for a light outside the gamut.
ScreenAbilities abilities_of(const DriveSolver& solver, const std::string& grey_words);

std::string screen_description_text(const ScreenDescription& screen);
// The keys stand in calibration/README.md. A value that the calibration does not know is null.
nlohmann::json to_json(const ScreenDescription& screen);

// Where a light stands in the two diagrams of the gamut: u', v' and l, s. None where it has no place there.
std::optional<Eigen::Vector2d> u_v_of(const DiagramPoint& point);
std::optional<Eigen::Vector2d> l_s_of(const DiagramPoint& point);

// Whether the calibration says "unknown" for this key, so that its value holds no information.
bool is_unknown(const Calibration& calibration, const std::string& key);

}  // namespace isoseam
