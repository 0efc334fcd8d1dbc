#pragma once
// What a light of a file is used for, and the drive that shows it there.

#include <optional>
#include <string>

#include "base/yaml_reader.h"
#include "colorimetry/light.h"
#include "protocols/setup/setup.h"

namespace isoseam {

// A light and the part that it lights. For example, the part "the surround" has the key "field.surround".
struct LightUse {
    const LightSpec& spec;
    std::string key;
    std::string part;
    int source = 0;
};

struct ShownLight {
    LinearDrive linear;
    std::optional<double> margin;  // Black has no margin.
};

// InputError when the source cannot show the light. The fault is at the description of the light, if the light
// has a name, and otherwise at its use.
ShownLight shown_light(const Setup& setup, const LightUse& use);

// The same, but faults are added to `faults`, each with a place, and then there is no light.
std::optional<ShownLight> shown_or_noted(const Setup& setup, const LightUse& use, FaultList& faults);

// What lights of the file may be described by: its named lights and its spectra. It refers to `protocol`.
LightContext descriptions_of(const Protocol& protocol);

}  // namespace isoseam
