#include "colorimetry/colour_space.h"

#include <fmt/format.h>

#include <Eigen/LU>
#include <cmath>
#include <functional>
#include <utility>
#include <vector>

#include "colorimetry/cie_tables.h"
#include "colorimetry/errors.h"
#include "colorimetry/sensitivity.h"

namespace isoseam {
namespace {

[[noreturn]] void refuse(std::string found, std::string remedy) {
    throw InputError(Fault{.file = {},
                           .line = 0,
                           .column = 0,
                           .key = {},
                           .found = std::move(found),
                           .remedy = std::move(remedy)});
}

// base + the combination of the sensitivities that makes up for what is missing. Among all spectra that catch
// the target, that is the nearest one, since a change across the sensitivities is caught by none of them.
Spectrum nearest(const Spectrum& base, const Eigen::Vector3d& target, const SensitivityRows& sensitivities,
                 const std::function<Eigen::Vector3d(const Spectrum&)>& caught_by) {
    std::vector<double> grid_nm;
    for (int nm = Observer::kFirstNm; nm <= Observer::kLastNm; ++nm) {
        grid_nm.push_back(nm);
    }
    std::vector<Spectrum> curves;
    Eigen::Matrix3d target_from_weights;
    for (Eigen::Index i = 0; i < 3; ++i) {
        const Eigen::VectorXd column = sensitivities.col(i);
        curves.push_back(Spectrum::from_signed_w_sr_m2_nm(grid_nm, {column.begin(), column.end()}));
        // On the grid of the sum, so that the target is met to rounding whatever the base's grid.
        target_from_weights.col(i) = caught_by(base.scaled(0.0) + curves.back());
    }
    const Eigen::Vector3d weights = target_from_weights.partialPivLu().solve(target - caught_by(base));
    Spectrum sum = base;
    for (std::size_t i = 0; i < curves.size(); ++i) {
        sum = sum + curves[i].scaled(weights[static_cast<Eigen::Index>(i)]);
    }
    return sum;
}

void check_finite(const Eigen::Vector3d& values, const char* what) {
    if (!values.allFinite()) {
        refuse(fmt::format("{} of {}, {}, {}", what, values[0], values[1], values[2]), "give finite numbers");
    }
}

void check_background(const Lms& background) {
    if (!(background.l > 0.0 && background.m > 0.0 && background.s > 0.0 &&
          background.vector().allFinite())) {
        refuse(fmt::format("contrast from a background with excitations L {}, M {}, S {}", background.l,
                           background.m, background.s),
               "choose a background that excites each of the three cones");
    }
}

}  // namespace

Xyz tristimulus(const Spectrum& spectrum) {
    return Xyz::from_vector(kLumensPerWatt *
                            caught(spectrum, cie1931_colour_matching_functions(), kCie1931FirstNm));
}

double luminance_cd_m2(const Spectrum& spectrum) {
    return tristimulus(spectrum).y;
}

double luminance_cd_m2(const Lms& lms, const Observer& observer) {
    return kLumensPerWatt * observer.luminous_efficiency_weights().dot(Eigen::Vector2d{lms.l, lms.m});
}

XyY xyy_from_xyz(const Xyz& xyz) {
    const double sum = xyz.x + xyz.y + xyz.z;
    if (!(xyz.y > 0.0 && sum > 0.0 && std::isfinite(sum))) {
        refuse(fmt::format("tristimulus values X {}, Y {}, Z {} have no chromaticity", xyz.x, xyz.y, xyz.z),
               "give a light with a luminance greater than 0 (black has no chromaticity)");
    }
    return {.chromaticity = {.x = xyz.x / sum, .y = xyz.y / sum}, .luminance_cd_m2 = xyz.y};
}

Xyz xyz_from_xyy(const XyY& xyy) {
    const auto [x, y] = xyy.chromaticity;
    const double luminance = xyy.luminance_cd_m2;
    if (!(y > 0.0 && std::isfinite(x) && std::isfinite(y))) {
        refuse(fmt::format("chromaticity x {}, y {}", x, y), "give finite coordinates, y greater than 0");
    }
    if (!(luminance >= 0.0 && std::isfinite(luminance))) {
        refuse(fmt::format("a luminance of {} cd/m2", luminance), "give 0 cd/m2 or more");
    }
    return {.x = luminance * x / y, .y = luminance, .z = luminance * (1.0 - x - y) / y};
}

MacLeodBoynton macleod_boynton_from_lms(const Lms& lms, const Observer& observer) {
    check_finite(lms.vector(), "excitations");
    const Eigen::Vector2d weights = observer.luminous_efficiency_weights();
    const double efficient = weights[0] * lms.l + weights[1] * lms.m;
    if (!(efficient > 0.0)) {
        refuse(fmt::format("excitations L {}, M {}, S {} have no chromaticity", lms.l, lms.m, lms.s),
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
        refuse(fmt::format("a luminance of {} cd/m2", coordinates.luminance_cd_m2), "give 0 cd/m2 or more");
    }
    const Eigen::Vector2d weights = observer.luminous_efficiency_weights();
    const double efficient = coordinates.luminance_cd_m2 / kLumensPerWatt;
    return {.l = coordinates.l * efficient / weights[0],
            .m = coordinates.m() * efficient / weights[1],
            .s = coordinates.s * efficient / observer.macleod_boynton_s_scale()};
}

ConeContrast cone_contrast(const Lms& target, const Lms& background) {
    check_background(background);
    check_finite(target.vector(), "excitations");
    return ConeContrast::from_vector(
        (target.vector() - background.vector()).cwiseQuotient(background.vector()));
}

Lms lms_from_cone_contrast(const ConeContrast& contrast, const Lms& background) {
    check_background(background);
    check_finite(contrast.vector(), "contrasts");
    return Lms::from_vector(background.vector() + background.vector().cwiseProduct(contrast.vector()));
}

Spectrum nearest_spectrum(const Spectrum& base, const Xyz& target) {
    check_finite(target.vector(), "tristimulus values");
    const auto& table = cie1931_colour_matching_functions();
    return nearest(base, target.vector(),
                   table.middleRows(Observer::kFirstNm - kCie1931FirstNm, Observer::kSamples),
                   [](const Spectrum& spectrum) { return tristimulus(spectrum).vector(); });
}

Spectrum nearest_spectrum(const Spectrum& base, const Lms& target, const Observer& observer) {
    check_finite(target.vector(), "excitations");
    return nearest(base, target.vector(), observer.energy(),
                   [&observer](const Spectrum& spectrum) { return observer.excitations(spectrum).vector(); });
}

}  // namespace isoseam
