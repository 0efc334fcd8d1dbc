#include "colorimetry/colour_space.h"

#include <fmt/format.h>

#include <Eigen/LU>
#include <cmath>
#include <functional>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "colorimetry/cie_tables.h"
#include "colorimetry/colour_checks.h"
#include "colorimetry/sensitivity.h"

namespace isoseam {
namespace {

constexpr int kFirstAssumedNm = 390;  // where the cones' sensitivities are known

// base + the combination of the sensitivities that makes up for what is missing. Among all spectra that catch
// the target, that is the nearest one, since a change across the sensitivities is caught by none of them.
Spectrum nearest(const Spectrum& base, const Eigen::Vector3d& target, const SensitivityRows& sensitivities,
                 int first_nm, const std::function<Eigen::Vector3d(const Spectrum&)>& caught_by) {
    std::vector<double> grid_nm;
    for (Eigen::Index row = 0; row < sensitivities.rows(); ++row) {
        grid_nm.push_back(static_cast<double>(first_nm + row));
    }
    std::vector<Spectrum> curves;
    Eigen::Matrix3d target_from_weights;
    for (Eigen::Index i = 0; i < 3; ++i) {
        const Eigen::VectorXd column = sensitivities.col(i);
        curves.push_back(Spectrum::from_signed_w_sr_m2_nm(grid_nm, {column.begin(), column.end()}));
        // The light is computed on the grid of the sum, so that the target is met to rounding whatever the
        // base's grid.
        target_from_weights.col(i) = caught_by(base.scaled(0.0) + curves.back());
    }
    const Eigen::Vector3d weights = target_from_weights.partialPivLu().solve(target - caught_by(base));
    Spectrum sum = base;
    for (std::size_t i = 0; i < curves.size(); ++i) {
        sum = sum + curves[i].scaled(weights[static_cast<Eigen::Index>(i)]);
    }
    return sum;
}

[[noreturn]] void refuse_dark(const Eigen::Vector3d& xyz) {
    throw InputError(
        fmt::format("tristimulus values X {}, Y {}, Z {} have no chromaticity", xyz[0], xyz[1], xyz[2]),
        "give a light whose Y and X + Y + Z are greater than 0 (black has no chromaticity)");
}

void check_luminance(double luminance_cd_m2) {
    if (!(luminance_cd_m2 >= 0.0 && std::isfinite(luminance_cd_m2))) {
        throw InputError(fmt::format("a luminance of {} cd/m2", luminance_cd_m2), "give 0 cd/m2 or more");
    }
}

}  // namespace

template <ColourMatching Of>
TristimulusOf<Of> tristimulus(const Spectrum& spectrum) {
    const ColourMatchingTable table = colour_matching_table(Of);
    return TristimulusOf<Of>::from_vector(kLumensPerWatt * caught(spectrum, table.functions, table.first_nm));
}

bool has_chromaticity(const Xyz& xyz) {
    const double sum = xyz.x + xyz.y + xyz.z;
    return xyz.y > 0.0 && sum > 0.0 && std::isfinite(sum);
}

double luminance_cd_m2(const Spectrum& spectrum) {
    return tristimulus(spectrum).y;
}

double luminance_cd_m2(const Lms& lms, const Observer& observer) {
    return kLumensPerWatt * observer.luminous_efficiency_weights().dot(Eigen::Vector2d{lms.l, lms.m});
}

template <ColourMatching Of>
XyYOf<Of> xyy_from_xyz(const TristimulusOf<Of>& xyz) {
    const double sum = xyz.x + xyz.y + xyz.z;
    if (!(xyz.y > 0.0 && sum > 0.0 && std::isfinite(sum))) {
        refuse_dark(xyz.vector());
    }
    return {.chromaticity = {.x = xyz.x / sum, .y = xyz.y / sum}, .luminance_cd_m2 = xyz.y};
}

template <ColourMatching Of>
TristimulusOf<Of> xyz_from_xyy(const XyYOf<Of>& xyy) {
    const auto [x, y] = xyy.chromaticity;
    if (!(y > 0.0 && std::isfinite(x) && std::isfinite(y))) {
        throw InputError(fmt::format("chromaticity x {}, y {}", x, y),
                         "give finite coordinates, y greater than 0");
    }
    check_luminance(xyy.luminance_cd_m2);
    const double sum = xyy.luminance_cd_m2 / y;
    const TristimulusOf<Of> xyz{.x = sum * x, .y = xyy.luminance_cd_m2, .z = sum * (1.0 - x - y)};
    check_finite(xyz.vector(), "tristimulus values");
    return xyz;
}

template <ColourMatching Of>
UniformChromaticityOf<Of> uniform_chromaticity_from_xyz(const TristimulusOf<Of>& xyz) {
    const double sum = xyz.x + 15.0 * xyz.y + 3.0 * xyz.z;
    if (!(xyz.y > 0.0 && sum > 0.0 && std::isfinite(sum))) {
        refuse_dark(xyz.vector());
    }
    return {.u_prime = 4.0 * xyz.x / sum, .v_prime = 9.0 * xyz.y / sum, .luminance_cd_m2 = xyz.y};
}

// From Y and v', the sum X + 15 Y + 3 Z; from it and u', X; Z is what remains of the sum.
template <ColourMatching Of>
TristimulusOf<Of> xyz_from_uniform_chromaticity(const UniformChromaticityOf<Of>& uvy) {
    if (!(uvy.v_prime > 0.0 && std::isfinite(uvy.u_prime) && std::isfinite(uvy.v_prime))) {
        throw InputError(fmt::format("chromaticity u' {}, v' {}", uvy.u_prime, uvy.v_prime),
                         "give finite coordinates, v' greater than 0");
    }
    check_luminance(uvy.luminance_cd_m2);
    const double sum = 9.0 * uvy.luminance_cd_m2 / uvy.v_prime;
    const TristimulusOf<Of> xyz{.x = sum * uvy.u_prime / 4.0,
                                .y = uvy.luminance_cd_m2,
                                .z = sum * (12.0 - 3.0 * uvy.u_prime - 20.0 * uvy.v_prime) / 36.0};
    check_finite(xyz.vector(), "tristimulus values");
    return xyz;
}

MacLeodBoynton macleod_boynton_from_lms(const Lms& lms, const Observer& observer) {
    check_finite(lms.vector(), "excitations");
    const Eigen::Vector2d weights = observer.luminous_efficiency_weights();
    const double efficient = weights[0] * lms.l + weights[1] * lms.m;
    if (!(efficient > 0.0)) {
        throw InputError(
            fmt::format("excitations L {}, M {}, S {} have no chromaticity", lms.l, lms.m, lms.s),
            "give a light with a luminance greater than 0 (black has no chromaticity)");
    }
    return {.l = weights[0] * lms.l / efficient,
            .s = observer.macleod_boynton_s_scale() * lms.s / efficient,
            .luminance_cd_m2 = kLumensPerWatt * efficient};
}

Lms lms_from_macleod_boynton(const MacLeodBoynton& coordinates, const Observer& observer) {
    check_finite({coordinates.l, coordinates.s, coordinates.luminance_cd_m2},
                 "MacLeod-Boynton l, s and luminance");
    if (!(coordinates.luminance_cd_m2 >= 0.0)) {
        throw InputError(fmt::format("a luminance of {} cd/m2", coordinates.luminance_cd_m2),
                         "give 0 cd/m2 or more");
    }
    const Eigen::Vector2d weights = observer.luminous_efficiency_weights();
    const double efficient = coordinates.luminance_cd_m2 / kLumensPerWatt;
    return {.l = coordinates.l * efficient / weights[0],
            .m = coordinates.m() * efficient / weights[1],
            .s = coordinates.s * efficient / observer.macleod_boynton_s_scale()};
}

ConeContrast cone_contrast(const Lms& target, const Lms& background) {
    check_contrast_background(background);
    check_finite(target.vector(), "excitations");
    return ConeContrast::from_vector(
        (target.vector() - background.vector()).cwiseQuotient(background.vector()));
}

Lms lms_from_cone_contrast(const ConeContrast& contrast, const Lms& background) {
    check_contrast_background(background);
    check_finite(contrast.vector(), "contrasts");
    return Lms::from_vector(background.vector() + background.vector().cwiseProduct(contrast.vector()));
}

Spectrum nearest_spectrum(const Spectrum& base, const Xyz& target) {
    check_finite(target.vector(), "tristimulus values");
    const auto& table = cie1931_colour_matching_functions();
    return nearest(base, target.vector(),
                   table.bottomRows(table.rows() - (kFirstAssumedNm - kCie1931FirstNm)), kFirstAssumedNm,
                   [](const Spectrum& spectrum) { return tristimulus(spectrum).vector(); });
}

Spectrum nearest_spectrum(const Spectrum& base, const Lms& target, const Observer& observer) {
    check_finite(target.vector(), "excitations");
    return nearest(base, target.vector(), observer.energy(), observer.first_nm(),
                   [&observer](const Spectrum& spectrum) { return observer.excitations(spectrum).vector(); });
}

// One for each observer of colour_types.h.
#define ISOSEAM_INSTANTIATE(Of)                                                                 \
    template TristimulusOf<Of> tristimulus(const Spectrum&);                                    \
    template XyYOf<Of> xyy_from_xyz(const TristimulusOf<Of>&);                                  \
    template TristimulusOf<Of> xyz_from_xyy(const XyYOf<Of>&);                                  \
    template UniformChromaticityOf<Of> uniform_chromaticity_from_xyz(const TristimulusOf<Of>&); \
    template TristimulusOf<Of> xyz_from_uniform_chromaticity(const UniformChromaticityOf<Of>&);
ISOSEAM_FOR_EACH_MATCHING(ISOSEAM_INSTANTIATE)

}  // namespace isoseam
