#include "colorimetry/smooth_formulae.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "support/published_table.h"

using namespace isoseam;
using isoseam::test::published_json;

namespace {

// The published form, summed term by term.
double fourier(const nlohmann::json& c, int harmonics, double x) {
    double y = c[0];
    for (int k = 1; k <= harmonics; ++k) {
        y += c[static_cast<std::size_t>(2 * k - 1)].get<double>() * std::cos(k * x) +
             c[static_cast<std::size_t>(2 * k)].get<double>() * std::sin(k * x);
    }
    return y;
}

double published_pigment(const nlohmann::json& formulae, const char* name, double nm, double shift_nm) {
    const auto& pigment = formulae["photopigment"][name];
    const double peak_nm = pigment["template_peak_nm"];
    const double x = (std::log10(nm) - 2.556302500767287267) / 0.1187666467581842301 +
                     std::log10(peak_nm / (peak_nm + shift_nm)) / 0.1187666467581842301;
    return fourier(pigment["c"], 8, x) + pigment["c"][17].get<double>();
}

ObserverParameters from_formulae(double field_deg) {
    ObserverParameters parameters;
    parameters.field = Degrees::from_degrees(field_deg);
    parameters.curves = CurveSource::formulae;
    return parameters;
}

}  // namespace

TEST_CASE("smooth formulae at each nanometre and shift as published") {
    // Stockman & Rider 2023; the figures' second copy, summed here without the turning of coefficients.
    const auto formulae = published_json("stockman_rider_2023.json");
    constexpr double kCancellation = 1e-11;  // sums of terms up to 400 that leave a few units
    for (const double shift_nm : {0.0, -4.0, 2.7}) {
        for (int nm = shift_nm == 0.0 ? 360 : 375; nm <= (shift_nm == 0.0 ? 850 : 830); ++nm) {
            const auto i = nm - kFormulaeFirstNm;
            INFO(nm << " nm, shift " << shift_nm);
            const double serine = published_pigment(formulae, "l_ser180", nm, shift_nm);
            const double alanine = published_pigment(formulae, "l_ser180", nm, shift_nm - 2.7);
            CHECK(std::abs(formula_log10_absorbance(Pigment::l_serine_180, shift_nm)[i] - serine) <
                  kCancellation);
            CHECK(std::abs(formula_log10_absorbance(Pigment::l_alanine_180, shift_nm)[i] - alanine) <
                  kCancellation);
            const double mean = std::log10(1.0009350552348480 *
                                           (0.56 * std::pow(10.0, serine) + 0.44 * std::pow(10.0, alanine)));
            CHECK(std::abs(formula_log10_absorbance(Pigment::l, shift_nm)[i] - mean) < kCancellation);
            CHECK(std::abs(formula_log10_absorbance(Pigment::m, shift_nm)[i] -
                           published_pigment(formulae, "m", nm, shift_nm)) < kCancellation);
            CHECK(std::abs(formula_log10_absorbance(Pigment::s, shift_nm)[i] -
                           published_pigment(formulae, "s", nm, shift_nm)) < kCancellation);
        }
    }
    // The nominal densities of the publication.
    CHECK(formula_macular_density()[460 - kFormulaeFirstNm] == Approx(0.35).epsilon(1e-6));
    CHECK(formula_lens_density()[400 - kFormulaeFirstNm] == Approx(1.7649).epsilon(1e-6));
    const EyeParts parts = eye_parts(from_formulae(2.0));
    CHECK(parts.macular_density[460 - parts.first_nm] == Approx(0.35).epsilon(1e-6));
    CHECK(parts.pigment_density == Eigen::Vector3d(0.5, 0.5, 0.4));
    CHECK(eye_parts(from_formulae(10.0)).pigment_density == Eigen::Vector3d(0.38, 0.38, 0.3));
}

TEST_CASE("eyes from formulae: from 360 to 850 nm, smooth, and near the tables' eyes") {
    const Observer smooth(from_formulae(2.0));
    CHECK(smooth.first_nm() == 360);
    CHECK(smooth.last_nm() == 850);
    const Observer tables = Observer::cie170(Degrees::from_degrees(2), Years::from_years(32));
    const Eigen::MatrixX3d difference =
        (smooth.energy().middleRows(Observer::kFirstNm - 360, Observer::kSamples) - tables.energy())
            .cwiseAbs();
    // Up to 0.019 of the peak for S near 479 nm and 0.013 for L and M (the README of the figures that were
    // retyped).
    CHECK(difference.col(2).maxCoeff() == Approx(0.019).margin(0.001));
    CHECK(difference.leftCols<2>().maxCoeff() == Approx(0.013).margin(0.001));
    Eigen::Index at = 0;
    difference.col(2).maxCoeff(&at);
    CHECK(std::abs(static_cast<double>(at) + Observer::kFirstNm - 479.0) <= 2.0);
    // A step of 1e-6 nm in a shift moves every sample by about 1e-8: no jumps.
    ObserverParameters shifted = from_formulae(2.0);
    shifted.shift_l_nm = shifted.shift_s_nm = 1e-6;
    CHECK((Observer(shifted).energy() - smooth.energy()).cwiseAbs().maxCoeff() < 1e-7);
}

TEST_CASE("the two common forms of L lie 2.7 nm apart, and their mean between them") {
    // Stockman & Rider 2023. Moving serine by -2.7 nm makes alanine, at every wavelength.
    CHECK((formula_log10_absorbance(Pigment::l_serine_180, -2.7) -
           formula_log10_absorbance(Pigment::l_alanine_180, 0.0))
              .abs()
              .maxCoeff() < 1e-12);
    // On the long-wave flank, where curves only move, the mean lies between both, nearer to serine (56 %).
    const Eigen::Index flank = 640 - kFormulaeFirstNm;
    const double serine = formula_log10_absorbance(Pigment::l_serine_180, 0.0)[flank];
    const double alanine = formula_log10_absorbance(Pigment::l_alanine_180, 0.0)[flank];
    const double mean = formula_log10_absorbance(Pigment::l, 0.0)[flank] - std::log10(1.0009350552348480);
    CHECK(std::pow(10.0, mean) ==
          Approx(0.56 * std::pow(10.0, serine) + 0.44 * std::pow(10.0, alanine)).epsilon(1e-12));
    CHECK(alanine < serine - 0.03);
}

TEST_CASE("beyond 360 and 850 nm a shifted formula goes on straight over log wavelength") {
    const EyeCurve unshifted = formula_log10_absorbance(Pigment::m, 0.0);
    const EyeCurve shifted = formula_log10_absorbance(Pigment::m, 30.0);
    // Shifted by s, the value at w is the unshifted one at w peak / (peak + s): below 360 nm up to 380.4 nm.
    const auto log_nm = [](double nm) { return std::log10(nm); };
    const double scale = 529.8 / 559.8;
    const double slope = (shifted[3] - shifted[0]) / (log_nm(363) - log_nm(360));
    for (int i = 1; i < 18; ++i)
        CHECK(shifted[i] == Approx(shifted[0] + slope * (log_nm(360.0 + i) - log_nm(360.0))).epsilon(1e-9));
    CHECK(shifted[0] == Approx(unshifted[0] + slope * (log_nm(360.0 * scale) - log_nm(360.0))).margin(0.01));
    CHECK(unshifted.size() == 491);
}
