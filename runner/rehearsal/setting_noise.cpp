#include "runner/rehearsal/setting_noise.h"

#include <fmt/format.h>

#include <Eigen/QR>

#include "base/errors.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/macadam_ellipses.h"

namespace isoseam {
namespace {

// How a response (excitations, tristimulus values) changes with each primary's light. Responses are linear in
// each primary alone, so that any step gives the slope.
template <class Response>
Eigen::Matrix3Xd slopes(const LinearDrive& light, const Response& response) {
    constexpr double kStep = 0.25;
    Eigen::Matrix3Xd columns(3, light.fractions.size());
    for (Eigen::Index k = 0; k < columns.cols(); ++k) {
        LinearDrive below = light;
        LinearDrive above = light;
        below.fractions[k] -= kStep;
        above.fractions[k] += kStep;
        columns.col(k) = (response(above) - response(below)) / (2.0 * kStep);
    }
    return columns;
}

// The columns say how X, Y, Z change with x, with y, and with the logarithm of Y at one chromaticity.
Eigen::Matrix3d xyz_from_changes(const Xyz& xyz) {
    const XyY light = xyy_from_xyz(xyz);
    const double x = light.chromaticity.x;
    const double y = light.chromaticity.y;
    const double per_y = light.luminance_cd_m2 / y;
    Eigen::Matrix3d columns;
    columns.col(0) = Eigen::Vector3d(per_y, 0.0, -per_y);
    columns.col(1) = per_y / y * Eigen::Vector3d(-x, 0.0, x - 1.0);
    columns.col(2) = xyz.vector();
    return columns;
}

Eigen::Matrix3d root_of_ellipse(const EyeOnScreen& eye, const LinearDrive& light, double luminance) {
    const DisplayModel& display = eye.display();
    const Xyz xyz = display.xyz(light);
    const Chromaticity read = xyy_from_xyz(xyz).chromaticity;
    Eigen::Matrix3d root = Eigen::Matrix3d::Zero();
    root.topLeftCorner<2, 2>() = covariance_root(nearest_ellipse(read.x, read.y));
    root(2, 2) = luminance;
    const Eigen::Matrix3Xd xyz_from_linear =
        slopes(light, [&](const LinearDrive& linear) { return display.xyz(linear).vector(); });
    const Eigen::Matrix3Xd lms_from_linear =
        slopes(light, [&](const LinearDrive& linear) { return eye.lms(linear); });
    // With more than three primaries, the smallest change of their lights is taken.
    const Eigen::MatrixXd linear_from_changes =
        xyz_from_linear.completeOrthogonalDecomposition().solve(xyz_from_changes(xyz) * root);
    return eye.lms(light).cwiseInverse().asDiagonal() * lms_from_linear * linear_from_changes;
}

}  // namespace

std::string to_string(NoiseKind kind) {
    return kind == NoiseKind::cones ? "cones" : "ellipses";
}

NoiseKind parse_noise(const std::string& word) {
    for (const NoiseKind kind : {NoiseKind::cones, NoiseKind::ellipses}) {
        if (word == to_string(kind))
            return kind;
    }
    throw InputError(Fault{
        "", 0, 0, "--noise", fmt::format("unknown noise '{}'", word),
        "write cones (independent in L, M and S) or ellipses (as published ellipses of matches have it)"});
}

Eigen::Matrix3d noise_root(const SettingNoise& noise, const EyeOnScreen& eye, const LinearDrive& light) {
    if (noise.kind == NoiseKind::ellipses)
        return root_of_ellipse(eye, light, noise.luminance);
    return Eigen::Vector3d(noise.l, noise.m, noise.s).asDiagonal();
}

}  // namespace isoseam
