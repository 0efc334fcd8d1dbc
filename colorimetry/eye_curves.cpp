#include "colorimetry/eye_curves.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "colorimetry/cie_tables.h"
#include "colorimetry/errors.h"
#include "colorimetry/smooth_formulae.h"

namespace isoseam {
namespace {

constexpr int kLastSNm = 615;  // the standard gives no S absorbance beyond
constexpr double kMacularTemplatePeak = 0.35;
constexpr std::array kPigmentPeakNm = {553.1, 529.8, 417.0};

EyeCurves from_tables() {
    const ObserverComponents& components = cie170_components();
    EyeCurves curves;
    curves.first_nm = Observer::kFirstNm;
    curves.last_s_nm = kLastSNm;
    curves.wavelengths_nm = EyeCurve::LinSpaced(Observer::kSamples, Observer::kFirstNm, Observer::kLastNm);
    curves.macular = components.macular_density_2deg.array() / kMacularTemplatePeak;
    curves.ocular_ageless = components.ocular_density_ageless.array();
    curves.ocular_ageing_32y = components.ocular_density_32y.array() - curves.ocular_ageless;
    return curves;
}

// The formula gives the density at 32 years only. It ages by the standard's ratio of both parts; below the
// standard's 390 nm, where no ratio is published, by that at 390 nm (ours).
EyeCurves from_formulae() {
    const ObserverComponents& components = cie170_components();
    EyeCurves curves;
    curves.first_nm = kFormulaeFirstNm;
    curves.last_s_nm = kFormulaeLastNm;
    const EyeCurve lens = formula_lens_density();
    curves.wavelengths_nm = EyeCurve::LinSpaced(lens.size(), kFormulaeFirstNm, kFormulaeLastNm);
    curves.macular = formula_macular_density() / kMacularTemplatePeak;
    curves.ocular_ageless = EyeCurve::Zero(lens.size());
    for (Eigen::Index i = 0; i < lens.size(); ++i) {
        const Eigen::Index row =
            std::clamp<Eigen::Index>(i + kFormulaeFirstNm - Observer::kFirstNm, 0, Observer::kSamples - 1);
        if (const double total = components.ocular_density_32y[row]; total > 0.0) {
            curves.ocular_ageless[i] = lens[i] * components.ocular_density_ageless[row] / total;
        }
    }
    curves.ocular_ageing_32y = lens - curves.ocular_ageless;
    return curves;
}

// The standard's log absorbances of one pigment, and their powers of ten for a pigment that is not shifted.
struct TabulatedPigment {
    EyeCurve log10_values;  // ends where the standard's column ends
    EyeCurve values;
};
const TabulatedPigment& tabulated_pigment(Eigen::Index column) {
    static const std::array<TabulatedPigment, 3> all = [] {
        std::array<TabulatedPigment, 3> pigments;
        for (Eigen::Index i = 0; i < 3; ++i) {
            const int last_nm = i == static_cast<Eigen::Index>(Cone::s) ? kLastSNm : Observer::kLastNm;
            TabulatedPigment& pigment = pigments[static_cast<std::size_t>(i)];
            pigment.log10_values =
                cie170_components().log10_absorbance.col(i).head(last_nm - Observer::kFirstNm + 1);
            pigment.values = EyeCurve::Zero(Observer::kSamples);
            pigment.values.head(pigment.log10_values.size()) =
                (std::numbers::ln10 * pigment.log10_values).exp();
        }
        return pigments;
    }();
    return all[static_cast<std::size_t>(column)];
}

Eigen::Index table_column(Pigment pigment) {
    ISOSEAM_CHECK(pigment == Pigment::l || pigment == Pigment::m || pigment == Pigment::s);
    return static_cast<Eigen::Index>(pigment);
}

EyeCurve tabulated_absorbance(Pigment pigment, double shift_nm) {
    const Eigen::Index column = table_column(pigment);
    const TabulatedPigment& unshifted = tabulated_pigment(column);
    if (shift_nm == 0.0) {
        return unshifted.values;
    }
    const EyeCurve& table = unshifted.log10_values;
    const Eigen::Index last_left = table.size() - 2;
    const double peak_nm = kPigmentPeakNm[static_cast<std::size_t>(column)];
    const double scale = peak_nm / (peak_nm + shift_nm);
    EyeCurve log10_values(table.size());
    for (Eigen::Index i = 0; i < table.size(); ++i) {
        const double position = (Observer::kFirstNm + static_cast<double>(i)) * scale - Observer::kFirstNm;
        const auto left = std::clamp<Eigen::Index>(static_cast<Eigen::Index>(position), 0, last_left);
        log10_values[i] =
            table[left] + (table[left + 1] - table[left]) * (position - static_cast<double>(left));
    }
    EyeCurve result = EyeCurve::Zero(Observer::kSamples);
    result.head(table.size()) = (std::numbers::ln10 * log10_values).exp();
    return result;
}

}  // namespace

const EyeCurves& eye_curves(CurveSource source) {
    static const EyeCurves tables = from_tables();
    static const EyeCurves formulae = from_formulae();
    return source == CurveSource::tables ? tables : formulae;
}

EyeCurve absorbance(CurveSource source, Pigment pigment, double shift_nm) {
    if (source == CurveSource::tables) {
        return tabulated_absorbance(pigment, shift_nm);
    }
    return (std::numbers::ln10 * formula_log10_absorbance(pigment, shift_nm)).exp();
}

}  // namespace isoseam
