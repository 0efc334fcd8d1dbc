#include "colorimetry/viewing/pupil.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "base/errors.h"

namespace isoseam {
namespace {

// The constants are those of the formula, as the header writes it.
constexpr double kReferenceAgeYears = 28.58;
constexpr double kShareOfOneEye = 0.1;

double stanley_davies_mm(double flux_cd_m2_deg2) {
    const double x = std::pow(flux_cd_m2_deg2 / 846.0, 0.41);
    // Written so that the largest flux gives the smallest pupil and no quotient of infinities.
    return 7.75 - 5.75 / (1.0 + 2.0 / x);
}

}  // namespace

double disc_area_deg2(Degrees diameter) {
    const double radius_deg = 0.5 * diameter.degrees();
    return std::numbers::pi * radius_deg * radius_deg;
}

double natural_pupil_mm(const AdaptingField& field, Years age, Eyes eyes) {
    ISOSEAM_CHECK(std::isfinite(field.luminance_cd_m2) && field.luminance_cd_m2 >= 0.0,
                  fmt::format("luminance = {}", field.luminance_cd_m2));
    ISOSEAM_CHECK(std::isfinite(field.area_deg2) && field.area_deg2 > 0.0,
                  fmt::format("area = {}", field.area_deg2));
    if (!(age >= kYoungestPupil && age <= kOldestPupil)) {
        throw InputError(
            "age", fmt::format("{:g} years", age.years()),
            fmt::format("the formula of the natural pupil holds for {:g} to {:g} years: write such an "
                        "age, or measure the pupil",
                        kYoungestPupil.years(), kOldestPupil.years()));
    }
    const double flux = field.luminance_cd_m2 * field.area_deg2 * (eyes == Eyes::one ? kShareOfOneEye : 1.0);
    const double mm = stanley_davies_mm(flux);
    return mm + (age.years() - kReferenceAgeYears) * (0.02132 - 0.009562 * mm);
}

}  // namespace isoseam
