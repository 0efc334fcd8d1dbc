#pragma once
// This figure shows one to four lights: their spectra, and how much they excite the receptors of an eye.

#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

struct LightCurves {
    std::string name;  // the light in words
    Spectrum spectrum;
    std::vector<double> excitations;  // W/(sr m2), one for each receptor
};

// Draws one to four lights, each with as many excitations as there are receptors. The first light is drawn
// solid with black bars, the second dashed with hatched bars, the third dotted with empty bars, and the
// fourth dash-dotted in grey with grey bars. Spectral lines stand on an axis of their own, since a line has
// no radiance per nm. Axes are in W, mW, uW or nW, whichever suits the largest value.
Figure light_figure(const std::string& eye, const std::vector<LightCurves>& lights,
                    const std::vector<std::string>& receptors = {"L", "M", "S"});

}  // namespace isoseam
