#include "colorimetry/eye_curves.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/errors.h"
#include "colorimetry/cie_tables.h"
#include "colorimetry/exponential.h"
#include "colorimetry/smooth_formulae.h"

namespace isoseam {
namespace {

constexpr int kLastSNm = 615;  // the standard gives no S absorbance beyond
constexpr double kMacularTemplatePeak = 0.35;
constexpr std::array kPigmentPeakNm = {553.1, 529.8, 417.0};

int last_filtered_nm(const EyeCurves& curves) {
    Eigen::Index row = curves.wavelengths_nm.size() - 1;
    while (row > 0 && curves.macular[row] == 0.0 && curves.ocular_ageing_32y[row] == 0.0 &&
           curves.ocular_ageless[row] == 0.0) {
        --row;
    }
    return curves.first_nm + static_cast<int>(row);
}

EyeCurves from_tables() {
    const ObserverComponents& components = cie170_components();
    EyeCurves curves;
    curves.first_nm = Observer::kFirstNm;
    curves.last_s_nm = kLastSNm;
    curves.wavelengths_nm = EyeCurve::LinSpaced(Observer::kSamples, Observer::kFirstNm, Observer::kLastNm);
    curves.macular = components.macular_density_2deg.array() / kMacularTemplatePeak;
    curves.ocular_ageless = components.ocular_density_ageless.array();
    curves.ocular_ageing_32y = components.ocular_density_32y.array() - curves.ocular_ageless;
    curves.last_filtered_nm = last_filtered_nm(curves);
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
    curves.last_filtered_nm = last_filtered_nm(curves);
    return curves;
}

// The standard's absorbances of one pigment, and their natural logarithms, which go on straight beyond the
// ends of the table as far as any shift may ask.
constexpr int kBeyondNm = 60;
struct TabulatedPigment {
    Eigen::Index count = 0;    // up to where the standard's column ends
    EyeCurve values;           // 0 from `count` on
    Eigen::ArrayXd logarithm;  // sample i: first_nm - kBeyondNm + i nm
    Eigen::ArrayXd slope;      // from sample i to the next, per nm
};

TabulatedPigment from_table(Eigen::Index column) {
    const int last_nm = column == static_cast<Eigen::Index>(Cone::s) ? kLastSNm : Observer::kLastNm;
    TabulatedPigment pigment;
    pigment.count = last_nm - Observer::kFirstNm + 1;
    const Eigen::ArrayXd known =
        std::numbers::ln10 * cie170_components().log10_absorbance.col(column).head(pigment.count).array();
    pigment.values = EyeCurve::Zero(Observer::kSamples);
    pigment.values.head(pigment.count) = known.exp();
    const auto steps = Eigen::ArrayXd::LinSpaced(kBeyondNm, 1.0, kBeyondNm);
    pigment.logarithm.resize(pigment.count + 2 * kBeyondNm);
    pigment.logarithm << known[0] - (known[1] - known[0]) * steps.reverse(), known,
        known[pigment.count - 1] + (known[pigment.count - 1] - known[pigment.count - 2]) * steps;
    const Eigen::Index last = pigment.logarithm.size() - 1;
    pigment.slope = pigment.logarithm.tail(last) - pigment.logarithm.head(last);
    return pigment;
}

const TabulatedPigment& tabulated_pigment(Eigen::Index column) {
    static const std::array all = {from_table(0), from_table(1), from_table(2)};
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
    const double peak_nm = kPigmentPeakNm[static_cast<std::size_t>(column)];
    const double scale = peak_nm / (peak_nm + shift_nm);
    EyeCurve result = EyeCurve::Zero(Observer::kSamples);
    const auto count = static_cast<int>(unshifted.count);
    for (int i = 0; i < count; ++i) {
        const double position = (Observer::kFirstNm + i) * scale - (Observer::kFirstNm - kBeyondNm);
        const int left = static_cast<int>(position);
        result[i] = unshifted.logarithm[left] + unshifted.slope[left] * (position - left);
    }
    exponentials(result.head(count));
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
    EyeCurve result = std::numbers::ln10 * formula_log10_absorbance(pigment, shift_nm);
    exponentials(result);
    return result;
}

}  // namespace isoseam
