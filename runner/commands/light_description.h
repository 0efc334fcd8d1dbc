#pragma once
// One light as `isoseam light` tells it: what it does to an eye, and what would show it on a screen.
//
//     const LightEye eye = light_eye(parameters);
//     DescribedLight light = described_light("xyY 0.31 0.33 at 20 cd/m2", eye, {});
//     light.colour = light_colour(light.light.spectrum, {});
//     fmt::print("{}", described_light_text(light));

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>

#include "colorimetry/light.h"
#include "stimuli/drive_solution.h"

namespace isoseam {

// The eye that lights are described for. If an eye lacks a cone, three numbers fix neither a spectrum for it
// nor a drive of a screen. Such lights are resolved for `resolves`, which is the same eye with three cones.
struct LightEye {
    Observer observer;
    Observer resolves;
};
LightEye light_eye(const ObserverParameters& parameters);

struct ShownOn {
    DriveSolver solver;  // for LightEye::resolves
    int bits = 0;
};

// What shows a light on a screen.
struct LightDrive {
    DriveSolution solution;
    int bits = 0;
    // Both are none where the light is out of gamut.
    std::optional<Drive> drive;
    std::optional<DriveCode> code;
};

// A light's colour beyond CIE 1931 XYZ: for the CIE's other observers, and beside a white.
struct LightColour {
    std::optional<UniformChromaticity> uv_prime;  // none: there is no light
    TristimulusOf<ColourMatching::cie1964_10deg> xyz_1964_10deg;
    TristimulusOf<ColourMatching::cie2015_2deg> xyz_2015_2deg;
    TristimulusOf<ColourMatching::cie2015_10deg> xyz_2015_10deg;
    std::optional<Lab> lab;  // none: no white was named
};
LightColour light_colour(const Spectrum& spectrum, const std::optional<Xyz>& white);

struct DescribedLight {
    Light light;
    std::string text;      // in the grammar of lights, normalised
    std::string observer;  // the eye's description
    Xyz xyz;
    double luminance_cie170_cd_m2 = 0.0;            // by the observer's V_F
    std::optional<XyY> xyy;                         // none: there is no light
    std::optional<MacLeodBoynton> macleod_boynton;  // none: the light has no luminance for this eye
    double unseen_share = 0.0;                      // see Observer::unseen_share
    std::optional<LightColour> colour;              // none: it was not asked for
    std::optional<LightDrive> drive;                // none: no screen was named
    bool in_gamut() const { return !drive || drive->solution.in_gamut; }
};

// `words` is a light in the grammar of colorimetry/light.h, and faults name it. The colour is left out.
DescribedLight described_light(const std::string& words, const LightEye& eye,
                               const std::optional<ShownOn>& screen);

std::string described_light_text(const DescribedLight& light);
// The keys of `isoseam light --json` stand in colorimetry/README.md. What a light does not have is null.
nlohmann::json to_json(const DescribedLight& light);

// The differences of two lights beside a white.
struct ColourDifference {
    double cie1976 = 0.0;
    double ciede2000 = 0.0;
};
// Returns none without a white.
std::optional<ColourDifference> colour_difference(const DescribedLight& first, const DescribedLight& second,
                                                  const std::optional<Xyz>& white);

}  // namespace isoseam
