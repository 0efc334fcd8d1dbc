#pragma once
// This figure shows the cone fundamentals of an eye.

#include <Eigen/Core>
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "colorimetry/observer.h"

namespace isoseam {

// There is one value for each wavelength, and the curves of L, M and S stand in this order. The curve of a
// cone that the eye lacks is empty or 0 throughout.
using ConeCurves = std::array<std::vector<double>, 3>;

// These are the parts that the fundamentals are made of: the pigments and the filters in front of them.
struct DrawnParts {
    // The absorbance of the photopigments at low density, with a peak of 1.
    ConeCurves absorbance;
    std::vector<double> macular_density;  // optical density of the macular pigment
    // The optical density of the lens and the other ocular media.
    std::vector<double> ocular_density;
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
    log,  // log10, five decades
    // linear, drawn below the pigments and the filters, which must be given
    stacked,
};

// `units` are the units of the sensitivities. A second eye is drawn thin and grey. L is solid, M dashed and S
// dotted, and each name stands beside its curve. The wavelength axis ends where the curves can no longer be
// seen.
Figure observer_figure(const DrawnEye& eye, const std::optional<DrawnEye>& second, SensitivityScale scale,
                       SensitivityUnits units = SensitivityUnits::energy);

}  // namespace isoseam
