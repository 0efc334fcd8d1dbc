#pragma once
// Which lights a reveal is about, and what eyes make of them.

#include <array>
#include <vector>

#include "protocols/lectures/lecture_setup.h"

namespace isoseam {

// The lights of a reveal (see LectureSetup::reveal). InputError, each at its light's place, where one is out
// of gamut or, of described ones, has no spectrum of its own.
std::vector<RevealedLight> revealed_lights(const LectureSetup& setup, int scene,
                                           const std::vector<double>& found);

// The first light against each other one.
Revealed compared(std::vector<RevealedLight> lights, const std::array<bool, 3>& cones,
                  const ObserverParameters& nominal);

}  // namespace isoseam
