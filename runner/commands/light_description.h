#pragma once
// One light as `isoseam light` tells it: what it does to an eye, and what would show it on a screen.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "colorimetry/light.h"
#include "stimuli/drive_solution.h"

namespace isoseam {

// The eye that lights are described for. An eye that lacks a cone fixes no spectrum for a light that is given
// by three numbers, and no drive of a screen: such lights are resolved for `resolves`, the same eye with
// three cones.
struct LightEye {
    Observer observer;
    Observer resolves;
};
LightEye light_eye(const ObserverParameters& parameters);

struct ShownOn {
    DriveSolver solver;  // for LightEye::resolves
    int bits = 0;
};

struct DescribedLight {
    Light light;
    std::string text;     // in the grammar of lights, normalised
    nlohmann::json json;  // the keys of `isoseam light --json`
    bool in_gamut = true;
};

// `words` is a light in the grammar of colorimetry/light.h. Faults name it.
DescribedLight described_light(const std::string& words, const LightEye& eye,
                               const std::optional<ShownOn>& screen);

// Adds u'v', the XYZ of the CIE's other observers, and beside a white CIELAB.
void describe_colour(DescribedLight& described, const std::optional<Xyz>& white);
// CIE 1976 and CIEDE2000 differences of two lights beside a white; null without one.
nlohmann::json colour_difference_json(const DescribedLight& first, const DescribedLight& second,
                                      const std::optional<Xyz>& white);

void print_described_light(const nlohmann::json& json);

}  // namespace isoseam
