#include "colorimetry/pooled_cardinal_contrast.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "colorimetry/colour_checks.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

constexpr double kRootOf3 = std::numbers::sqrt3;

// l and m of the header's derivation.
struct LuminanceShares {
    double l = 0.0;
    double m = 0.0;
    double length() const { return std::hypot(l, m); }
};

LuminanceShares shares_of(const Lms& background, const Observer& observer) {
    check_contrast_background(background);
    const Eigen::Vector2d parts =
        observer.luminous_efficiency_weights().cwiseProduct(Eigen::Vector2d{background.l, background.m});
    return {.l = parts[0] / parts.sum(), .m = parts[1] / parts.sum()};
}

}  // namespace

PooledCardinalContrast pooled_cardinal_contrast(const ConeContrast& contrast, const Lms& background,
                                                const Observer& observer) {
    const LuminanceShares share = shares_of(background, observer);
    check_finite(contrast.vector(), "cone contrasts");
    const double luminance_contrast = share.l * contrast.l + share.m * contrast.m;
    return {.luminance = kRootOf3 * luminance_contrast,
            .l_minus_m = share.length() * (contrast.l - contrast.m),
            .s = contrast.s - luminance_contrast};
}

ConeContrast cone_contrast_from_pooled_cardinal(const PooledCardinalContrast& contrast, const Lms& background,
                                                const Observer& observer) {
    const LuminanceShares share = shares_of(background, observer);
    check_finite(contrast.vector(), "contrasts along the cardinal axes");
    const double luminance_contrast = contrast.luminance / kRootOf3;
    const double l_minus_m = contrast.l_minus_m / share.length();
    return {.l = luminance_contrast + share.m * l_minus_m,
            .m = luminance_contrast - share.l * l_minus_m,
            .s = luminance_contrast + contrast.s};
}

PooledCardinalContrast pooled_cardinal_contrast(const Lms& target, const Lms& background,
                                                const Observer& observer) {
    return pooled_cardinal_contrast(cone_contrast(target, background), background, observer);
}

Lms lms_from_pooled_cardinal(const PooledCardinalContrast& contrast, const Lms& background,
                             const Observer& observer) {
    return lms_from_cone_contrast(cone_contrast_from_pooled_cardinal(contrast, background, observer),
                                  background);
}

}  // namespace isoseam
