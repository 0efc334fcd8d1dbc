#include "colorimetry/viewing/chromatic_focus.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "base/errors.h"

namespace isoseam {

double chromatic_refraction_dioptres(double wavelength_nm) {
    ISOSEAM_CHECK_BETWEEN(wavelength_nm, kShortestFocusNm, kLongestFocusNm);
    return 1.68524 - 633.46 / (wavelength_nm - 214.102);
}

double chromatic_blur_arcmin(double seen_nm, double focused_nm, double pupil_mm) {
    ISOSEAM_CHECK(std::isfinite(pupil_mm) && pupil_mm > 0.0, fmt::format("pupil_mm = {}", pupil_mm));
    const double dioptres =
        std::abs(chromatic_refraction_dioptres(seen_nm) - chromatic_refraction_dioptres(focused_nm));
    const double radians = dioptres * 1e-3 * pupil_mm;  // A dioptre is one per metre.
    return 60.0 * 180.0 / std::numbers::pi * radians;
}

}  // namespace isoseam
