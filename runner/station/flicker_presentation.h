#pragma once
// Flicker as a presentation of frames.

#include <array>

#include "runner/station/station.h"
#include "stimuli/flicker.h"

namespace isoseam {

// What changes places: each light as the sources of both halves make it, by Half. All are in gamut, and so is
// every mixture of them.
struct ExchangedLights {
    std::array<LinearDrive, 2> a;
    std::array<LinearDrive, 2> b;
};

FieldLights flicker_lights(const Flicker& flicker, const ExchangedLights& lights, std::int64_t frame);

// Ends where the flicker does.
Presentation flicker_presentation(const Flicker& flicker, const ExchangedLights& lights);

}  // namespace isoseam
