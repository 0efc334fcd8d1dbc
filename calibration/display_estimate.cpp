#include "calibration/display_estimate.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

constexpr double kFromNm = 380.0;
constexpr double kToNm = 780.0;
constexpr double kStepNm = 2.0;
constexpr Chromaticity kD65{0.3127, 0.3290};
constexpr double kBlackOfWhiteLcd = 0.001;

constexpr std::array<std::pair<std::string_view, PanelType>, 3> kPanelWords{{
    {"white-led-lcd", PanelType::white_led_lcd},
    {"wide-gamut-lcd", PanelType::wide_gamut_lcd},
    {"oled", PanelType::oled},
}};

// Bell of height 1 with one standard deviation below its peak and another above.
double bell(double nm, double peak_nm, double below_nm, double above_nm) {
    const double offset = (nm - peak_nm) / (nm < peak_nm ? below_nm : above_nm);
    return std::exp(-0.5 * offset * offset);
}

// What three absorbing filters let through, with a small leak: a step for the long-wave one, bells for the
// others.
Eigen::Vector3d filters(double nm) {
    constexpr double kLeak = 0.004;
    const double step = 0.92 / (1.0 + std::exp(-(nm - 591.0) / 8.0));
    return {kLeak + step, kLeak + 0.86 * bell(nm, 536.0, 34.0, 34.0),
            kLeak + 0.85 * bell(nm, 453.0, 30.0, 30.0)};
}

// Light of the three primaries at one wavelength, in no unit.
Eigen::Vector3d white_led_lcd(double nm) {
    return (bell(nm, 450.0, 9.5, 10.5) + 0.5 * bell(nm, 550.0, 37.0, 62.0)) * filters(nm);
}
Eigen::Vector3d wide_gamut_lcd(double nm) {
    const double backlight =
        bell(nm, 450.0, 9.0, 9.5) + 0.8 * bell(nm, 533.0, 13.5, 14.5) + 0.8 * bell(nm, 631.0, 12.0, 13.0);
    return backlight * filters(nm);
}
// Emitters fall off more slowly towards long waves.
Eigen::Vector3d oled(double nm) {
    return {bell(nm, 621.0, 13.0, 21.0), bell(nm, 526.0, 12.0, 20.0), bell(nm, 460.0, 8.0, 13.0)};
}

Eigen::Vector3d shape_at(PanelType panel, double nm) {
    switch (panel) {
        case PanelType::white_led_lcd:
            return white_led_lcd(nm);
        case PanelType::wide_gamut_lcd:
            return wide_gamut_lcd(nm);
        case PanelType::oled:
            return oled(nm);
    }
    ISOSEAM_CHECK(false, "panel type");
    return {};
}

struct PanelShapes {
    std::vector<double> nm;
    std::array<std::vector<double>, 3> primaries;
};

PanelShapes shapes_of(PanelType panel) {
    PanelShapes shapes;
    for (double nm = kFromNm; nm <= kToNm; nm += kStepNm) {
        shapes.nm.push_back(nm);
        const Eigen::Vector3d light = shape_at(panel, nm);
        for (std::size_t i = 0; i < 3; ++i)
            shapes.primaries[i].push_back(light[static_cast<Eigen::Index>(i)]);
    }
    return shapes;
}

// Factors with which the three add up to D65's chromaticity at 1 cd/m2.
Eigen::Vector3d balance(const PanelShapes& shapes) {
    Eigen::Matrix3d xyz_from_factors;
    for (std::size_t i = 0; i < 3; ++i) {
        xyz_from_factors.col(static_cast<Eigen::Index>(i)) =
            tristimulus(Spectrum::from_radiance_w_sr_m2_nm(shapes.nm, shapes.primaries[i])).vector();
    }
    const Eigen::Vector3d factors =
        xyz_from_factors.partialPivLu().solve(xyz_from_xyy(XyY{kD65, 1.0}).vector());
    ISOSEAM_CHECK_GT(factors.minCoeff(), 0.0);
    return factors;
}

Spectrum scaled_sum(const PanelShapes& shapes, const Eigen::Vector3d& factors) {
    std::vector<double> values(shapes.nm.size(), 0.0);
    for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t k = 0; k < values.size(); ++k)
            values[k] += factors[static_cast<Eigen::Index>(i)] * shapes.primaries[i][k];
    }
    return Spectrum::from_radiance_w_sr_m2_nm(shapes.nm, values);
}

void check(const DisplayEstimate& estimate) {
    std::vector<Fault> faults;
    const auto require = [&](bool good, const char* key, const std::string& found, const char* remedy) {
        if (!good)
            faults.push_back({"", 0, 0, key, found, remedy});
    };
    require(!estimate.name.empty(), "name", "is empty", "write a name for the screen");
    require(estimate.width_px >= 1 && estimate.width_px <= 100000, "width",
            fmt::format("{} pixels", estimate.width_px), "write 1 to 100000");
    require(estimate.height_px >= 1 && estimate.height_px <= 100000, "height",
            fmt::format("{} pixels", estimate.height_px), "write 1 to 100000");
    require(estimate.screen_width_mm >= 10.0 && estimate.screen_width_mm <= 100000.0, "screen-width",
            fmt::format("{:g} mm", estimate.screen_width_mm), "write 1 cm to 100 m");
    require(estimate.refresh_hz >= 1.0 && estimate.refresh_hz <= 1000.0, "refresh",
            fmt::format("{:g} Hz", estimate.refresh_hz), "write 1 to 1000");
    require(estimate.bits == 8 || estimate.bits == 10, "bits", fmt::format("{}", estimate.bits),
            "write 8 or 10");
    require(estimate.white_cd_m2 >= 1.0 && estimate.white_cd_m2 <= 20000.0, "white",
            fmt::format("{:g} cd/m2", estimate.white_cd_m2), "write 1 to 20000 cd/m2");
    require(estimate.exponent >= 0.1 && estimate.exponent <= 10.0, "tone",
            fmt::format("exponent {:g}", estimate.exponent), "write 0.1 to 10; most screens have about 2.2");
    require(estimate.valid_until >= estimate.estimated_on, "valid_until",
            to_string(estimate.valid_until) + " is in the past", "name a day to come");
    throw_if_any(faults);
}

}  // namespace

PanelType parse_panel_type(std::string_view word) {
    std::vector<std::string> words;
    for (const auto& [known, panel] : kPanelWords) {
        if (word == known)
            return panel;
        words.emplace_back(known);
    }
    throw InputError("--panel", fmt::format("unknown panel '{}'", word),
                     fmt::format("write one of: {}", fmt::join(words, ", ")));
}

std::string to_string(PanelType panel) {
    for (const auto& [word, known] : kPanelWords) {
        if (known == panel)
            return std::string(word);
    }
    ISOSEAM_CHECK(false, "panel type");
    return {};
}

ToneByEye tone_from_line_patterns(const std::array<double, 3>& drives) {
    for (std::size_t i = 0; i < drives.size(); ++i) {
        const double least = i == 0 ? 0.0 : drives[i - 1];
        if (!(drives[i] > least && drives[i] < 1.0)) {
            throw InputError("tone",
                             fmt::format("drives {:.4g}, {:.4g} and {:.4g} for a quarter, a half and three "
                                         "quarters of full light",
                                         drives[0], drives[1], drives[2]),
                             "set the patches again, from further away: drives lie between 0 and 1 and rise");
        }
    }
    ToneByEye tone;
    double product = 0.0;
    double square = 0.0;
    for (std::size_t i = 0; i < drives.size(); ++i) {
        const double log_light = std::log(kLinePatternShares[i]);
        const double log_drive = std::log(drives[i]);
        tone.exponent_of_each[i] = log_light / log_drive;
        product += log_light * log_drive;
        square += log_drive * log_drive;
    }
    tone.exponent = product / square;
    if (!(tone.exponent >= 0.1 && tone.exponent <= 10.0)) {
        throw InputError("tone", fmt::format("an exponent of {:.3g}", tone.exponent),
                         "set the patches again: screens have exponents from 0.1 to 10, most about 2.2");
    }
    return tone;
}

Calibration estimated_calibration(const DisplayEstimate& estimate) {
    check(estimate);
    const PanelShapes shapes = shapes_of(estimate.panel);
    const double black_share = estimate.panel == PanelType::oled ? 0.0 : kBlackOfWhiteLcd;
    const Eigen::Vector3d white = estimate.white_cd_m2 * balance(shapes);
    Calibration calibration;
    calibration.name = estimate.name;
    calibration.panel = to_string(estimate.panel) + ", typical shapes";
    calibration.measured_on = estimate.estimated_on;
    calibration.measured_with = "nothing (estimated)";
    calibration.measured_how =
        fmt::format("spectra: invented typical shapes; white: {:g} cd/m2 as stated; tone: {}",
                    estimate.white_cd_m2, estimate.tone_how);
    calibration.valid_until = estimate.valid_until;
    calibration.width_px = estimate.width_px;
    calibration.height_px = estimate.height_px;
    calibration.refresh_hz = estimate.refresh_hz;
    calibration.bits = estimate.bits;
    calibration.pixel_pitch_mm = estimate.screen_width_mm / estimate.width_px;
    calibration.estimated = true;
    calibration.black = scaled_sum(shapes, black_share * white);
    const std::array<const char*, 3> names{"long-wave", "middle-wave", "short-wave"};
    for (std::size_t i = 0; i < 3; ++i) {
        Eigen::Vector3d alone = Eigen::Vector3d::Zero();
        alone[static_cast<Eigen::Index>(i)] = (1.0 - black_share) * white[static_cast<Eigen::Index>(i)];
        calibration.primaries.push_back(
            {names[i], scaled_sum(shapes, alone), ToneResponse::power(estimate.exponent)});
    }
    calibration.file = "estimate";
    calibration.text = calibration_text(calibration);
    return calibration;
}

}  // namespace isoseam
