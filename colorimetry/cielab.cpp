#include "colorimetry/cielab.h"

#include <fmt/format.h>

#include <cmath>

#include "base/errors.h"
#include "colorimetry/colour_checks.h"

namespace isoseam {
namespace {

// The standard's f(t), for t = X/Xn, Y/Yn, Z/Zn:
//   f(t) = t^(1/3)              where t > (24/116)^3
//   f(t) = (841/108) t + 16/116 elsewhere
//   L* = 116 f(Y/Yn) - 16,  a* = 500 (f(X/Xn) - f(Y/Yn)),  b* = 200 (f(Y/Yn) - f(Z/Zn))
// Here g(t) = f(t) - 16/116. All three coordinates are multiples of g or of differences of g; and near black,
// where the constant would swallow the digits of t, g keeps them: it is 0 at 0.
constexpr double kOffset = 16.0 / 116.0;
constexpr double kCubeRootAtEnd = 24.0 / 116.0;  // f where line and cube root meet
constexpr double kLineEnd = kCubeRootAtEnd * kCubeRootAtEnd * kCubeRootAtEnd;
constexpr double kSlope = 841.0 / 108.0;

double g(double share) {
    return share > kLineEnd ? std::cbrt(share) - kOffset : kSlope * share;
}

double inverse_g(double value) {
    const double root = value + kOffset;
    return root > kCubeRootAtEnd ? root * root * root : value / kSlope;
}

void check_white(const Eigen::Vector3d& white) {
    if (!(white.minCoeff() > 0.0 && white.allFinite())) {
        throw InputError(
            fmt::format("a white with tristimulus values {}, {}, {}", white[0], white[1], white[2]),
            "give a white with three finite values greater than 0");
    }
}

}  // namespace

template <ColourMatching Of>
LabOf<Of> lab_from_xyz(const TristimulusOf<Of>& xyz, const TristimulusOf<Of>& white) {
    check_white(white.vector());
    check_finite(xyz.vector(), "tristimulus values");
    const Eigen::Vector3d shares = xyz.vector().cwiseQuotient(white.vector());
    check_finite(shares, "shares of the white");
    const double g_x = g(shares[0]);
    const double g_y = g(shares[1]);
    const double g_z = g(shares[2]);
    return {.l_star = 116.0 * g_y, .a_star = 500.0 * (g_x - g_y), .b_star = 200.0 * (g_y - g_z)};
}

template <ColourMatching Of>
TristimulusOf<Of> xyz_from_lab(const LabOf<Of>& lab, const TristimulusOf<Of>& white) {
    check_white(white.vector());
    check_finite(lab.vector(), "L*, a*, b*");
    const double g_y = lab.l_star / 116.0;
    const Eigen::Vector3d shares{inverse_g(g_y + lab.a_star / 500.0), inverse_g(g_y),
                                 inverse_g(g_y - lab.b_star / 200.0)};
    const Eigen::Vector3d xyz = shares.cwiseProduct(white.vector());
    check_finite(xyz, "tristimulus values");
    return TristimulusOf<Of>::from_vector(xyz);
}

// One for each observer of colour_types.h.
#define ISOSEAM_INSTANTIATE(Of)                                                          \
    template LabOf<Of> lab_from_xyz(const TristimulusOf<Of>&, const TristimulusOf<Of>&); \
    template TristimulusOf<Of> xyz_from_lab(const LabOf<Of>&, const TristimulusOf<Of>&);
ISOSEAM_FOR_EACH_MATCHING(ISOSEAM_INSTANTIATE)

}  // namespace isoseam
