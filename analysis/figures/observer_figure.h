#pragma once
// An eye's cone fundamentals as a figure.

#include <Eigen/Core>
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "colorimetry/observer.h"

namespace isoseam {

// One value per wavelength, L, M and S in this order. A cone that the eye lacks is empty or 0 throughout.
using ConeCurves = std::array<std::vector<double>, 3>;

// What lies before the fundamentals: the pigments and the filters in front of them.
struct DrawnParts {
    ConeCurves absorbance;                // of the photopigments, low density, peak 1
    std::vector<double> macular_density;  // optical density of the macular pigment
    std::vector<double> ocular_density;   // of the lens and the other ocular media
};

struct DrawnEye {
    std::string description;  // which eye this is, for title or legend
    std::vector<double> wavelengths_nm;
    ConeCurves sensitivity;  // peak 1
    std::optional<DrawnParts> parts;
};

enum class SensitivityUnits { energy, quantal };

DrawnEye drawn_eye(const Observer& observer, SensitivityUnits units = SensitivityUnits::energy);

enum class SensitivityScale {
    linear,
    log,      // log10, five decades
    stacked,  // linear, under the pigments and the filters, which must be given
};

// `units` are those of the sensitivities. A second eye is drawn thin and grey. L is solid, M dashed, S
// dotted; each is named at its curve. The wavelength axis ends where nothing more would be seen.
Figure observer_figure(const DrawnEye& eye, const std::optional<DrawnEye>& second, SensitivityScale scale,
                       SensitivityUnits units = SensitivityUnits::energy);

}  // namespace isoseam
