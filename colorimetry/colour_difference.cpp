#include "colorimetry/colour_difference.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "base/errors.h"
#include "colorimetry/colour_checks.h"

namespace isoseam {
namespace {

constexpr double kDegreesPerRadian = 180.0 / std::numbers::pi;

double finite_difference(double value) {
    if (!std::isfinite(value)) {
        throw InputError("a colour difference beyond the range of numbers", "give L*, a*, b* below 1e100");
    }
    return value;
}

void check(const Ciede2000Factors& factors) {
    for (const double factor : {factors.k_l, factors.k_c, factors.k_h}) {
        if (!(factor > 0.0 && std::isfinite(factor))) {
            throw InputError(
                fmt::format("factors k_L {}, k_C {}, k_H {}", factors.k_l, factors.k_c, factors.k_h),
                "give three finite factors greater than 0 (1 for the reference conditions)");
        }
    }
}

double sine_of_deg(double degrees) {
    return std::sin(degrees / kDegreesPerRadian);
}

double cosine_of_deg(double degrees) {
    return std::cos(degrees / kDegreesPerRadian);
}

// sqrt(C^7 / (C^7 + 25^7)), in the form that is right for chroma 0 and does not overflow.
double chroma_share(double chroma) {
    return 1.0 / std::sqrt(1.0 + std::pow(25.0 / chroma, 7.0));
}

// a* stretched, chroma and hue of it: the primed quantities of the standard.
struct Stretched {
    double a = 0.0;
    double b = 0.0;
    double chroma = 0.0;
    double hue_deg = 0.0;  // 0 to 360; 0 without chroma
};

Stretched stretched(const Eigen::Vector3d& lab, double factor) {
    Stretched result{.a = factor * lab[1], .b = lab[2]};
    result.chroma = std::hypot(result.a, result.b);
    if (result.chroma > 0.0) {
        const double angle_deg = std::atan2(result.b, result.a) * kDegreesPerRadian;
        result.hue_deg = angle_deg < 0.0 ? angle_deg + 360.0 : angle_deg;
    }
    return result;
}

struct Hues {
    double difference_deg = 0.0;  // -180 to 180
    double mean_deg = 0.0;
};

Hues hues_of(const Stretched& first, const Stretched& second) {
    const double sum_deg = first.hue_deg + second.hue_deg;
    if (first.chroma == 0.0 || second.chroma == 0.0) {
        return {.difference_deg = 0.0, .mean_deg = sum_deg};
    }
    const double apart_deg = second.hue_deg - first.hue_deg;
    // Told from the coordinates, since rounded angles of opposite hues are 180 degrees apart only by luck.
    const bool opposite =
        first.a * second.b == first.b * second.a && !(first.a * second.a > 0.0 || first.b * second.b > 0.0);
    if (opposite || std::abs(apart_deg) <= 180.0) {
        return {.difference_deg = apart_deg, .mean_deg = sum_deg / 2.0};
    }
    return {.difference_deg = apart_deg > 0.0 ? apart_deg - 360.0 : apart_deg + 360.0,
            .mean_deg = sum_deg < 360.0 ? (sum_deg + 360.0) / 2.0 : (sum_deg - 360.0) / 2.0};
}

double ciede2000(const Eigen::Vector3d& first_lab, const Eigen::Vector3d& second_lab,
                 const Ciede2000Factors& factors) {
    const double mean_chroma_ab =
        (std::hypot(first_lab[1], first_lab[2]) + std::hypot(second_lab[1], second_lab[2])) / 2.0;
    const double stretch = 1.0 + 0.5 * (1.0 - chroma_share(mean_chroma_ab));
    const Stretched first = stretched(first_lab, stretch);
    const Stretched second = stretched(second_lab, stretch);
    const auto [hue_difference_deg, hue_deg] = hues_of(first, second);

    const double lightness_difference = second_lab[0] - first_lab[0];
    const double chroma_difference = second.chroma - first.chroma;
    const double hue_difference =
        2.0 * std::sqrt(first.chroma) * std::sqrt(second.chroma) * sine_of_deg(hue_difference_deg / 2.0);

    const double from_50 = (first_lab[0] + second_lab[0]) / 2.0 - 50.0;
    const double chroma = (first.chroma + second.chroma) / 2.0;
    const double t = 1.0 - 0.17 * cosine_of_deg(hue_deg - 30.0) + 0.24 * cosine_of_deg(2.0 * hue_deg) +
                     0.32 * cosine_of_deg(3.0 * hue_deg + 6.0) - 0.20 * cosine_of_deg(4.0 * hue_deg - 63.0);
    const double s_l = 1.0 + 0.015 * from_50 * from_50 / std::sqrt(20.0 + from_50 * from_50);
    const double s_c = 1.0 + 0.045 * chroma;
    const double s_h = 1.0 + 0.015 * chroma * t;
    const double from_blue = (hue_deg - 275.0) / 25.0;
    const double rotation =
        -2.0 * chroma_share(chroma) * sine_of_deg(60.0 * std::exp(-from_blue * from_blue));

    const double lightness_term = lightness_difference / (factors.k_l * s_l);
    const double chroma_term = chroma_difference / (factors.k_c * s_c);
    const double hue_term = hue_difference / (factors.k_h * s_h);
    const double square = lightness_term * lightness_term + chroma_term * chroma_term + hue_term * hue_term +
                          rotation * chroma_term * hue_term;
    // |rotation| < 2 sin 60, so the square is never below 0 but by rounding.
    return std::sqrt(square < 0.0 ? 0.0 : square);
}

}  // namespace

template <ColourMatching Of>
double delta_e_ab(const LabOf<Of>& a, const LabOf<Of>& b) {
    check_finite(a.vector(), "L*, a*, b*");
    check_finite(b.vector(), "L*, a*, b*");
    return finite_difference((a.vector() - b.vector()).stableNorm());
}

template <ColourMatching Of>
double delta_e_2000(const LabOf<Of>& a, const LabOf<Of>& b, const Ciede2000Factors& factors) {
    check_finite(a.vector(), "L*, a*, b*");
    check_finite(b.vector(), "L*, a*, b*");
    check(factors);
    return finite_difference(ciede2000(a.vector(), b.vector(), factors));
}

// One for each observer of colour_types.h.
#define ISOSEAM_INSTANTIATE(Of)                                     \
    template double delta_e_ab(const LabOf<Of>&, const LabOf<Of>&); \
    template double delta_e_2000(const LabOf<Of>&, const LabOf<Of>&, const Ciede2000Factors&);
ISOSEAM_FOR_EACH_MATCHING(ISOSEAM_INSTANTIATE)

}  // namespace isoseam
