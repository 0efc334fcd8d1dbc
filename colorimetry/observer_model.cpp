#include "colorimetry/observer_model.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/errors.h"
#include "colorimetry/exponential.h"
#include "colorimetry/eye_curves.h"

namespace isoseam {
namespace {

// L : M in the luminance of the 32-year-old observer, for quantal fundamentals of peak 1 (CIE 170-2:2015).
// Other eyes at the same field weigh what their cones catch alike, so that a lens which takes more from M
// lowers the share of M.
constexpr double kQuantalLOverM = 1.89;
constexpr int kSplineReach =
    20;  // samples to either side; what lies beyond bends the peak by less than 1e-11
constexpr int kSplineSamples = 2 * kSplineReach + 1;

// The range in which the peaks of the reference observer's L and M are looked for.
constexpr int kReferenceFromNm = 480;
constexpr int kReferenceToNm = 620;
constexpr int kReferenceStepNm = 5;

// The standard rounds its densities so.
double to_3_decimals(double value) {
    return std::round(value * 1000.0) / 1000.0;
}

double scaled_by_percent(double value, double percent) {
    return value * (1.0 + percent / 100.0);
}

double macular_peak_density(const ObserverParameters& parameters) {
    return scaled_by_percent(to_3_decimals(0.485 * std::exp(-parameters.field.degrees() / 6.132)),
                             parameters.macular_percent);
}

// What the part of the lens that grows has grown by since 32 years.
double ageing(Years age) {
    return age.years() <= 60.0 ? 1.0 + 0.02 * (age.years() - 32.0) : 1.56 + 0.0667 * (age.years() - 60.0);
}

struct ConeMake {
    Pigment pigment = Pigment::l;
    double shift_nm = 0.0;
    double density = 0.0;  // peak
};

ConeMake make_of(const ObserverParameters& parameters, Cone cone) {
    const double falloff = std::exp(-parameters.field.degrees() / 1.333);
    const double density = to_3_decimals(cone == Cone::s ? 0.30 + 0.45 * falloff : 0.38 + 0.54 * falloff);
    switch (cone) {
        case Cone::l:
            return {parameters.l_pigment, parameters.shift_l_nm,
                    scaled_by_percent(density, parameters.density_l_percent)};
        case Cone::m:
            return {parameters.m_pigment, parameters.shift_m_nm,
                    scaled_by_percent(density, parameters.density_m_percent)};
        case Cone::s:
            return {Pigment::s, parameters.shift_s_nm,
                    scaled_by_percent(density, parameters.density_s_percent)};
    }
    ISOSEAM_CHECK(false, "a cone that is not L, M or S");
}

// 10^-density of the filters before the cones; `rows` chooses wavelengths.
template <class Rows>
EyeCurve transmitted(const ObserverParameters& parameters, const EyeCurves& curves, const Rows& rows) {
    const double lens = scaled_by_percent(1.0, parameters.lens_percent);
    EyeCurve result =
        -std::numbers::ln10 *
        (macular_peak_density(parameters) * curves.macular(rows) +
         lens * (ageing(parameters.age) * curves.ocular_ageing_32y(rows) + curves.ocular_ageless(rows)));
    exponentials(result);
    return result;
}

// 1 - 10^(-density absorbance). From where on little is absorbed a series takes over: it is cheaper there,
// and the difference from 1 would lose digits.
EyeCurve absorptance(double density, const EyeCurve& low_density_absorbance) {
    constexpr double kLittle = 0.01;
    const EyeCurve x = std::numbers::ln10 * density * low_density_absorbance;
    Eigen::Index head = x.size();
    while (head > 0 && x[head - 1] < kLittle) {
        --head;
    }
    EyeCurve result = -x;
    exponentials(result.head(head));
    result.head(head) = 1.0 - result.head(head);
    const auto little = x.tail(x.size() - head);
    result.tail(x.size() - head) =
        little * (1.0 + little * (-1.0 / 2.0 +
                                  little * (1.0 / 6.0 + little * (-1.0 / 24.0 + little * (1.0 / 120.0)))));
    return result;
}

// What each cone catches of one unit of energy, not normalised.
Observer::Table energy_caught(const ObserverParameters& parameters) {
    const EyeCurves& curves = eye_curves(parameters.curves);
    const EyeCurve quanta =
        transmitted(parameters, curves, Eigen::seqN(0, curves.wavelengths_nm.size())) * curves.wavelengths_nm;
    Observer::Table caught = Observer::Table::Zero(quanta.size(), 3);
    for (const Cone cone : {Cone::l, Cone::m, Cone::s}) {
        if (!parameters.has(cone)) {
            continue;
        }
        const Eigen::Index count = cone == Cone::s ? curves.last_s_nm - curves.first_nm + 1 : quanta.size();
        const ConeMake make = make_of(parameters, cone);
        const EyeCurve absorbed = absorbance(parameters.curves, make.pigment, make.shift_nm);
        caught.col(static_cast<Eigen::Index>(cone)).head(count) =
            (absorptance(make.density, absorbed.head(count)) * quanta.head(count)).matrix();
    }
    return caught;
}

// The largest quantal catches of L and M of the 32-year-old at this field, read at 5 nm steps. Inferred, not
// documented: with the reference peaks taken at 390, 395, ... nm the committee's weights for 4 degrees and 20
// years are met to 2.3e-7, with peaks on a 0.1 nm grid only to 4.2e-5. The published weights for 2 degrees
// agree with the finer grid instead (and are used as published), so the two differ by 2.4e-4 there.
Eigen::Vector2d reference_catches(Degrees field, CurveSource source) {
    ObserverParameters reference;
    reference.field = field;
    reference.curves = source;
    const EyeCurves& curves = eye_curves(source);
    const auto rows = Eigen::seq(kReferenceFromNm - curves.first_nm, kReferenceToNm - curves.first_nm,
                                 Eigen::fix<kReferenceStepNm>);
    const EyeCurve quanta = transmitted(reference, curves, rows);
    Eigen::Vector2d largest;
    for (const Cone cone : {Cone::l, Cone::m}) {
        const ConeMake make = make_of(reference, cone);
        const EyeCurve absorbed = absorbance(source, make.pigment, 0.0);
        largest[static_cast<Eigen::Index>(cone)] =
            (absorptance(make.density, absorbed(rows)) * quanta).maxCoeff();
    }
    return largest;
}

// Second derivatives of the natural cubic spline through values at unit distance: the tridiagonal system (1,
// 4, 1), whose elimination needs the same pivots each time.
using SplineValues = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, kSplineSamples, 1>;
SplineValues spline_curvatures(const SplineValues& values) {
    static const std::array<double, kSplineSamples> inverse_pivots = [] {
        std::array<double, kSplineSamples> made{};
        double pivot = 4.0;
        for (double& inverse : made) {
            inverse = 1.0 / pivot;
            pivot = 4.0 - inverse;
        }
        return made;
    }();
    const Eigen::Index count = values.size();
    SplineValues curvatures = SplineValues::Zero(count);
    for (Eigen::Index i = 1; i + 1 < count; ++i) {
        const double bend = 6.0 * (values[i - 1] - 2.0 * values[i] + values[i + 1]);
        const double before =
            i == 1 ? 0.0 : curvatures[i - 1] * inverse_pivots[static_cast<std::size_t>(i - 2)];
        curvatures[i] = bend - before;
    }
    for (Eigen::Index i = count - 2; i >= 1; --i) {
        curvatures[i] = (curvatures[i] - curvatures[i + 1]) * inverse_pivots[static_cast<std::size_t>(i - 1)];
    }
    return curvatures;
}

double spline_at(const SplineValues& values, const SplineValues& curvatures, Eigen::Index left,
                 double share) {
    const double rest = 1.0 - share;
    return rest * values[left] + share * values[left + 1] +
           ((rest * rest * rest - rest) * curvatures[left] +
            (share * share * share - share) * curvatures[left + 1]) /
               6.0;
}

}  // namespace

double peak_on_tenth_nm(const Eigen::Ref<const Eigen::VectorXd>& curve) {
    const double largest_sample = curve.maxCoeff();
    if (largest_sample == 0.0) {
        return 0.0;
    }
    const Eigen::Index largest = std::find(curve.begin(), curve.end(), largest_sample) - curve.begin();
    Eigen::Index first = largest;
    Eigen::Index last = largest;
    while (first > 0 && largest - first < kSplineReach && curve[first - 1] > 0.0) {
        --first;
    }
    while (last + 1 < curve.size() && last - largest < kSplineReach && curve[last + 1] > 0.0) {
        ++last;
    }
    ISOSEAM_CHECK(largest_sample > 0.0 && first < last, "a curve without a peak");
    const SplineValues logarithms = curve.segment(first, last - first + 1).array().log();
    const SplineValues curvatures = spline_curvatures(logarithms);
    double logarithm_of_peak = logarithms[largest - first];
    // S over V_F of some eyes is largest where the tables begin: then there is one side only.
    for (Eigen::Index left = std::max(first, largest - 1); left <= std::min(largest, last - 1); ++left) {
        for (int tenth = 1; tenth < 10; ++tenth) {
            logarithm_of_peak =
                std::max(logarithm_of_peak, spline_at(logarithms, curvatures, left - first, tenth / 10.0));
        }
    }
    return std::exp(logarithm_of_peak);
}

Observer::Table with_peak_1(const Observer::Table& table) {
    Observer::Table result = table;
    for (Eigen::Index cone = 0; cone < 3; ++cone) {
        if (const double peak = peak_on_tenth_nm(table.col(cone)); peak > 0.0) {
            result.col(cone) /= peak;
        }
    }
    return result;
}

Observer::Table quantal_from_energy(const Observer::Table& energy, int first_nm) {
    const auto count = energy.rows();
    const EyeCurve wavelengths_nm =
        EyeCurve::LinSpaced(count, first_nm, first_nm + static_cast<double>(count - 1));
    return energy.array().colwise() / wavelengths_nm;
}

ModelledEye modelled_eye(const ObserverParameters& parameters) {
    ModelledEye eye{.first_nm = eye_curves(parameters.curves).first_nm,
                    .energy = energy_caught(parameters),
                    .luminance_weights = Eigen::Vector2d::Zero()};
    Eigen::Vector3d peaks;
    for (Eigen::Index cone = 0; cone < 3; ++cone) {
        peaks[cone] = peak_on_tenth_nm(eye.energy.col(cone));
        if (peaks[cone] > 0.0) {
            eye.energy.col(cone) /= peaks[cone];
        }
    }
    if (parameters.has(Cone::l) || parameters.has(Cone::m)) {
        const Eigen::Vector2d reference = reference_catches(parameters.field, parameters.curves);
        const Eigen::Vector2d weights{kQuantalLOverM * peaks[0] / reference[0], peaks[1] / reference[1]};
        eye.luminance_weights = weights / peak_on_tenth_nm(eye.energy.leftCols<2>() * weights);
    }
    return eye;
}

EyeParts modelled_parts(const ObserverParameters& parameters) {
    const EyeCurves& curves = eye_curves(parameters.curves);
    const double lens = scaled_by_percent(1.0, parameters.lens_percent);
    EyeParts parts;
    parts.first_nm = curves.first_nm;
    parts.macular_density = macular_peak_density(parameters) * curves.macular;
    parts.ocular_density = lens * (ageing(parameters.age) * curves.ocular_ageing_32y + curves.ocular_ageless);
    parts.absorbance = Eigen::MatrixX3d::Zero(curves.wavelengths_nm.size(), 3);
    parts.pigment_density = Eigen::Vector3d::Zero();
    for (const Cone cone : {Cone::l, Cone::m, Cone::s}) {
        if (parameters.has(cone)) {
            const auto column = static_cast<Eigen::Index>(cone);
            const ConeMake make = make_of(parameters, cone);
            parts.pigment_density[column] = make.density;
            parts.absorbance.col(column) = absorbance(parameters.curves, make.pigment, make.shift_nm);
        }
    }
    return parts;
}

}  // namespace isoseam
