#include "colorimetry/illuminant.h"

#include <fmt/format.h>

#include <cmath>
#include <vector>

#include "base/errors.h"
#include "colorimetry/cie_tables.h"
#include "colorimetry/colour_checks.h"

namespace isoseam {
namespace {

constexpr int kLastNm = 830;
constexpr double kReferenceNm = 560.0;
// A and the D series are defined by formulae with the values that c2 had in their time; a temperature that
// was meant for one value of c2 gives the same spectrum with another when it is multiplied by their ratio.
constexpr double kC2OfTodayNmK = 1.4388e7;
constexpr double kC2OfANmK = 1.4350e7;
constexpr double kC2OfDaylightNmK = 1.4380e7;
constexpr double kTemperatureOfAK = 2848.0;

struct Named {
    Illuminant illuminant;
    std::string_view name;
    double temperature_k;  // of daylight, nominal
};
constexpr Named kNamed[] = {
    {Illuminant::a, "A", 0.0},        {Illuminant::d50, "D50", 5000.0}, {Illuminant::d55, "D55", 5500.0},
    {Illuminant::d65, "D65", 6500.0}, {Illuminant::d75, "D75", 7500.0}, {Illuminant::e, "E", 0.0},
};

const Named& named(Illuminant illuminant) {
    for (const Named& candidate : kNamed) {
        if (candidate.illuminant == illuminant) {
            return candidate;
        }
    }
    ISOSEAM_CHECK(false, "an illuminant of the enumeration");
    return kNamed[0];
}

// How much of S1 and S2 daylight has beside S0.
struct Multipliers {
    double s1 = 0.0;
    double s2 = 0.0;
};

Multipliers multipliers(const Chromaticity& of) {
    const double divisor = 0.0241 + 0.2562 * of.x - 0.7341 * of.y;
    return {.s1 = (-1.3515 - 1.7703 * of.x + 5.9114 * of.y) / divisor,
            .s2 = (0.0300 - 31.4424 * of.x + 30.0717 * of.y) / divisor};
}

double to_3_decimals(double value) {
    return std::round(value * 1000.0) / 1000.0;
}

// S0 + M1 S1 + M2 S2 at the 10 nm of the components; between them a straight line, as the CIE's finer tables
// have it.
Spectrum daylight_with(const Multipliers& multipliers) {
    const Eigen::MatrixX3d& components = cie_daylight_components();
    std::vector<double> grid_nm;
    std::vector<double> values;
    for (Eigen::Index row = 0; row < components.rows(); ++row) {
        grid_nm.push_back(static_cast<double>(kDaylightFirstNm + row * kDaylightStepNm));
        values.push_back(components.row(row).dot(Eigen::RowVector3d{1.0, multipliers.s1, multipliers.s2}) /
                         100.0);
    }
    return Spectrum::from_radiance_w_sr_m2_nm(std::move(grid_nm), std::move(values));
}

std::vector<double> whole_nanometres() {
    std::vector<double> grid_nm;
    for (int nm = kDaylightFirstNm; nm <= kLastNm; ++nm) {
        grid_nm.push_back(nm);
    }
    return grid_nm;
}

// CIE 015:2018: (560/nm)^5 (exp(c2 / (560 T)) - 1) / (exp(c2 / (nm T)) - 1), c2 = 1.435e7 nm K, T = 2848 K.
Spectrum illuminant_a() {
    const double scale_nm = kC2OfANmK / kTemperatureOfAK;
    std::vector<double> grid_nm = whole_nanometres();
    std::vector<double> values;
    for (const double nm : grid_nm) {
        values.push_back(std::pow(kReferenceNm / nm, 5.0) * std::expm1(scale_nm / kReferenceNm) /
                         std::expm1(scale_nm / nm));
    }
    return Spectrum::from_radiance_w_sr_m2_nm(std::move(grid_nm), std::move(values));
}

}  // namespace

std::optional<Illuminant> illuminant_named(std::string_view name) {
    for (const Named& candidate : kNamed) {
        if (candidate.name == name) {
            return candidate.illuminant;
        }
    }
    return std::nullopt;
}

std::string_view name_of(Illuminant illuminant) {
    return named(illuminant).name;
}

Spectrum spectrum_of(Illuminant illuminant) {
    if (illuminant == Illuminant::a) {
        return illuminant_a();
    }
    if (illuminant == Illuminant::e) {
        return Spectrum::equal_energy().sampled_on(whole_nanometres());
    }
    const double temperature_k = named(illuminant).temperature_k * kC2OfTodayNmK / kC2OfDaylightNmK;
    const Multipliers exact = multipliers(daylight_chromaticity(temperature_k));
    return daylight_with({.s1 = to_3_decimals(exact.s1), .s2 = to_3_decimals(exact.s2)});
}

Spectrum daylight_spectrum(double temperature_k) {
    return daylight_with(multipliers(daylight_chromaticity(temperature_k)));
}

Chromaticity daylight_chromaticity(double temperature_k) {
    if (!(temperature_k >= kCoolestDaylightK && temperature_k <= kHottestDaylightK)) {
        throw InputError(
            fmt::format("daylight of {} K", temperature_k),
            fmt::format("give {} to {} K (the range of CIE 015)", kCoolestDaylightK, kHottestDaylightK));
    }
    const double t = 1e3 / temperature_k;
    const double x = temperature_k <= 7000.0 ? ((-4.6070 * t + 2.9678) * t + 0.09911) * t + 0.244063
                                             : ((-2.0064 * t + 1.9018) * t + 0.24748) * t + 0.237040;
    return {.x = x, .y = (-3.000 * x + 2.870) * x - 0.275};
}

}  // namespace isoseam
