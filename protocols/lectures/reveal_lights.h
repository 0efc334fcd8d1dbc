#pragma once
// Which lights a reveal is about, and what eyes make of them.

#include <array>
#include <vector>

#include "protocols/lectures/lecture_setup.h"

namespace isoseam {

// The lights of a reveal (see LectureSetup::reveal). InputError, with a fault at each light's place, where a
// light is out of gamut, or where a described light has no spectrum of its own.
std::vector<RevealedLight> revealed_lights(const LectureSetup& setup, int scene,
                                           const std::vector<double>& found);

// Compares the first light with each other one.
Revealed compared(std::vector<RevealedLight> lights, const std::array<bool, 3>& cones,
                  const ObserverParameters& nominal);

}  // namespace isoseam
