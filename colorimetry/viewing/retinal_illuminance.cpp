#include "colorimetry/viewing/retinal_illuminance.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "base/errors.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/rods.h"

namespace isoseam {

double pupil_area_mm2(double pupil_mm) {
    ISOSEAM_CHECK(std::isfinite(pupil_mm) && pupil_mm > 0.0, fmt::format("pupil_mm = {}", pupil_mm));
    return 0.25 * std::numbers::pi * pupil_mm * pupil_mm;
}

Trolands retinal_illuminance(const Spectrum& light, double pupil_mm) {
    const double area_mm2 = pupil_area_mm2(pupil_mm);
    return {luminance_cd_m2(light) * area_mm2, scotopic_luminance_cd_m2(light) * area_mm2};
}

double bleached_share(double photopic_td) {
    ISOSEAM_CHECK(std::isfinite(photopic_td) && photopic_td >= 0.0,
                  fmt::format("photopic_td = {}", photopic_td));
    return photopic_td / (photopic_td + kHalfBleachTd);
}

}  // namespace isoseam
