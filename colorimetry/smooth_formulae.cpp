#include "colorimetry/smooth_formulae.h"

#include <array>
#include <cmath>
#include <numbers>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();
constexpr double kTable[] = {
#include "stockman_rider_2023.inc"
};
constexpr int kColumns = 6;
enum Column { l_serine = 1, m = 2, s = 3, lens = 4, macular = 5 };

constexpr int kHarmonics = 8;  // of a pigment
constexpr int kMacularHarmonics = 11;
constexpr int kLensHarmonics = 9;
constexpr int kNormalisationRow = 2 * kHarmonics + 1;

constexpr int kSamples = kFormulaeLastNm - kFormulaeFirstNm + 1;
static_assert(kSamples <= Observer::kMostSamples);

// x = (log10(nm) - kFirstLog10) / kLog10PerRadian runs from 0 at 360 nm to pi at 850 nm.
constexpr double kFirstLog10Nm = 2.556302500767287267;
constexpr double kLog10NmPerRadian = 0.1187666467581842301;
// Up to where the sums are taken: alanine, as published, needs a little more than 0 to pi.
constexpr double kFirstX = -0.018;
constexpr double kLastX = std::numbers::pi + 0.018;
constexpr double kAlanineShiftNm = -2.7;  // of L with alanine against L with serine
constexpr double kSerineShare = 0.56;
constexpr double kMeanScale = 1.0009350552348480;

constexpr double kMacularFirstNm = 375.0;
constexpr double kMacularLastNm = 550.0;
constexpr double kMacularNmPerRadian = 55.70423008;
constexpr double kMacularScale = 1.005004855;
constexpr double kLensFirstNm = 360.0;
constexpr double kLensLastNm = 660.0;
constexpr double kLensNmPerRadian = 95.49296586;
constexpr double kLensScale = 1.0091871745;

constexpr double coefficient(Column column, int row) {
    return kTable[row * kColumns + column];
}

// c0 + sum over k of c(2k-1) cos(k x) + c(2k) sin(k x), and its slope.
struct Sum {
    double value = 0.0;
    double slope = 0.0;
};
Sum fourier_sum(Column column, int harmonics, double x) {
    Sum sum{coefficient(column, 0), 0.0};
    for (int k = 1; k <= harmonics; ++k) {
        const double cosine = std::cos(k * x);
        const double sine = std::sin(k * x);
        const double a = coefficient(column, 2 * k - 1);
        const double b = coefficient(column, 2 * k);
        sum.value += a * cosine + b * sine;
        sum.slope += k * (b * cosine - a * sine);
    }
    return sum;
}

double x_of_pigment(double nm, double peak_nm, double shift_nm) {
    return (std::log10(nm) - kFirstLog10Nm + std::log10(peak_nm / (peak_nm + shift_nm))) / kLog10NmPerRadian;
}

// cos(k x) and sin(k x) at each sample for k = 0 .. kHarmonics, without a shift.
struct Basis {
    Eigen::Matrix<double, kSamples, kHarmonics + 1> cosines, sines;
};
const Basis& basis() {
    static const Basis result = [] {
        Basis made;
        for (int i = 0; i < kSamples; ++i) {
            const double x = x_of_pigment(kFormulaeFirstNm + i, 1.0, 0.0);
            for (int k = 0; k <= kHarmonics; ++k) {
                made.cosines(i, k) = std::cos(k * x);
                made.sines(i, k) = std::sin(k * x);
            }
        }
        return made;
    }();
    return result;
}

// A shift moves x by the same amount everywhere, so that it only turns each pair of coefficients.
EyeCurve log10_absorbance(Column column, double peak_nm, double shift_nm) {
    const double turn = std::log10(peak_nm / (peak_nm + shift_nm)) / kLog10NmPerRadian;
    Eigen::Matrix<double, kHarmonics + 1, 1> of_cosines, of_sines;
    of_cosines[0] = coefficient(column, 0) + coefficient(column, kNormalisationRow);
    of_sines[0] = 0.0;
    for (int k = 1; k <= kHarmonics; ++k) {
        const double a = coefficient(column, 2 * k - 1);
        const double b = coefficient(column, 2 * k);
        of_cosines[k] = a * std::cos(k * turn) + b * std::sin(k * turn);
        of_sines[k] = b * std::cos(k * turn) - a * std::sin(k * turn);
    }
    EyeCurve result = (basis().cosines * of_cosines + basis().sines * of_sines).array();
    const auto straight_on = [&](int i, double end_x) {
        const Sum end = fourier_sum(column, kHarmonics, end_x);
        result[i] = end.value + coefficient(column, kNormalisationRow) +
                    end.slope * (x_of_pigment(kFormulaeFirstNm + i, peak_nm, shift_nm) - end_x);
    };
    for (int i = 0; i < kSamples && x_of_pigment(kFormulaeFirstNm + i, peak_nm, shift_nm) < kFirstX; ++i) {
        straight_on(i, kFirstX);
    }
    for (int i = kSamples - 1; x_of_pigment(kFormulaeFirstNm + i, peak_nm, shift_nm) > kLastX; --i) {
        straight_on(i, kLastX);
    }
    return result;
}

}  // namespace

EyeCurve formula_log10_absorbance(Pigment pigment, double shift_nm) {
    constexpr double kLPeakNm = 553.1;
    switch (pigment) {
        case Pigment::l: {
            const EyeCurve serine = log10_absorbance(l_serine, kLPeakNm, shift_nm);
            const EyeCurve alanine = log10_absorbance(l_serine, kLPeakNm, shift_nm + kAlanineShiftNm);
            return (kMeanScale * (kSerineShare * (std::numbers::ln10 * serine).exp() +
                                  (1.0 - kSerineShare) * (std::numbers::ln10 * alanine).exp()))
                .log10();
        }
        case Pigment::l_serine_180:
            return log10_absorbance(l_serine, kLPeakNm, shift_nm);
        case Pigment::l_alanine_180:
            return log10_absorbance(l_serine, kLPeakNm, shift_nm + kAlanineShiftNm);
        case Pigment::m:
            return log10_absorbance(m, 529.8, shift_nm);
        case Pigment::s:
            return log10_absorbance(s, 417.0, shift_nm);
    }
    ISOSEAM_CHECK(false, "a pigment that is not in the list");
}

EyeCurve formula_macular_density() {
    EyeCurve density = EyeCurve::Zero(kSamples);
    for (int i = 0; i < kSamples; ++i) {
        if (const double nm = kFormulaeFirstNm + i; nm >= kMacularFirstNm && nm <= kMacularLastNm) {
            const double x = (nm - kMacularFirstNm) / kMacularNmPerRadian;
            density[i] = kMacularScale * fourier_sum(macular, kMacularHarmonics, x).value;
        }
    }
    return density;
}

EyeCurve formula_lens_density() {
    EyeCurve density = EyeCurve::Zero(kSamples);
    for (int i = 0; i < kSamples; ++i) {
        if (const double nm = kFormulaeFirstNm + i; nm <= kLensLastNm) {
            density[i] =
                kLensScale * fourier_sum(lens, kLensHarmonics, (nm - kLensFirstNm) / kLensNmPerRadian).value;
        }
    }
    return density;
}

}  // namespace isoseam
