#pragma once
// An observer is an eye, described by its three cone sensitivities at the cornea.
//
//     const Observer eye = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
//     const Lms caught = eye.excitations(Spectrum::equal_energy());

#include <Eigen/Core>
#include <string>

#include "base/quantity.h"
#include "colorimetry/colour_types.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

// The source of the curves of pigments, macular pigment and lens: the tables of CIE 170-1:2006 (390 to 830
// nm), or the smooth formulae of Stockman & Rider 2023 (360 to 850 nm; up to 0.019 of the peak from the
// tables).
enum class CurveSource { tables, formulae };

// What a cone is filled with. The tables have L (the mean of its two common forms), M and S; the formulae
// know L with serine and L with alanine at position 180 as well.
enum class Pigment { l, m, s, l_serine_180, l_alanine_180 };

// The parameters of an eye. The field is 1 to 10 degrees and the age 20 to 80 years (the range of CIE
// 170-1:2006). Changes in percent are of peak optical density and greater than -100. A shift moves a pigment
// on an axis of log wavelength, so that its peak moves by that many nm. The parameters are those of Asano,
// Fairchild & Blonde 2016, the form of a shift that of Stockman & Rider 2023.
struct ObserverParameters {
    Degrees field = Degrees::from_degrees(2.0);
    Years age = Years::from_years(32.0);
    double lens_percent = 0.0;
    double macular_percent = 0.0;
    double density_l_percent = 0.0;
    double density_m_percent = 0.0;
    double density_s_percent = 0.0;
    double shift_l_nm = 0.0;
    double shift_m_nm = 0.0;
    double shift_s_nm = 0.0;
    // The pigment in the L and in the M cones; a shift counts from its peak, and the cones keep their
    // density. Anomalous trichromats have an M-like pigment in both (protanomalous) or an L-like one
    // (deuteranomalous).
    Pigment l_pigment = Pigment::l;
    Pigment m_pigment = Pigment::m;
    // The cones that the eye does not have. A dichromat lacks one and a monochromat two; no eye lacks all
    // three.
    bool lacks_l = false;
    bool lacks_m = false;
    bool lacks_s = false;
    CurveSource curves = CurveSource::tables;

    bool has(Cone cone) const;
    bool is_standard() const;  // no deviation from the CIE mean observer
};

class Observer {
  public:
    // This is the range of the CIE tables. An observer made from formulae has a wider range: first_nm(),
    // last_nm().
    static constexpr int kFirstNm = 390;
    static constexpr int kLastNm = 830;
    static constexpr int kSamples = kLastNm - kFirstNm + 1;
    static constexpr int kMostSamples = 491;
    // Row i: first_nm() + i nm; columns L, M, S.
    using Table = Eigen::Matrix<double, Eigen::Dynamic, 3, 0, kMostSamples, 3>;

    // Makes the observer of CIE 170-1:2006. At 2 and at 10 degrees and 32 years without deviations, it uses
    // the published tables themselves. Any other eye is computed from the standard's components, with a peak
    // of 1 on a 0.1 nm grid. From the tables, S is 0 above 615 nm, whatever the shift. A cone that the eye
    // lacks is 0 everywhere. Throws an InputError (key "field", "age", "lens", ...) outside the ranges above,
    // if a shift leaves the curves (more than 30 nm), for changes of density by more than 1000 %, for a
    // pigment that the source of curves does not have, and for an eye without any cone.
    explicit Observer(const ObserverParameters& parameters);
    static Observer cie170(Degrees field, Years age);

    const ObserverParameters& parameters() const { return parameters_; }
    bool has(Cone cone) const { return parameters_.has(cone); }
    bool is_published_table() const { return published_; }
    int first_nm() const { return first_nm_; }
    int last_nm() const { return first_nm_ + static_cast<int>(energy_.rows()) - 1; }
    // "CIE 170-1:2006, field 2 deg, age 32 years (published table)": names what is needed to make it again.
    std::string description() const;

    // These are the energy-based sensitivities, with a peak of 1.
    const Table& energy() const { return energy_; }
    // Gives the quantal sensitivities, each scaled so that its largest value on a 0.1 nm grid is 1.
    Table quantal() const;
    // Gives the energy-based sensitivity at any wavelength from first_nm() to last_nm(): by 4-point Lagrange
    // interpolation in log10 of the 1 nm values if all four are positive, and linearly otherwise. It is exact
    // at whole nanometres and 0 outside the range.
    Eigen::Vector3d energy_at_nm(double nm) const;

    // The excitation is the trapezoid over the union of the spectrum's grid and the observer's 1 nm grid. For
    // grids of whole nanometres this is the CIE's sum at 1 nm, with half a sample at 390 and at 830 nm. Lines
    // count with the sensitivity at their wavelength.
    Lms excitations(const Spectrum& spectrum) const;

    // The share of this observer's sensitivity (each cone's area) that lies outside the spectrum's range,
    // where nothing was measured: the largest of the three cones. 0 for a spectrum that covers the
    // observer's range or has only lines.
    double unseen_share(const Spectrum& spectrum) const;

    // Gives the weights of V_F = weights[0] L + weights[1] M (energy, peak 1; CIE 170-2:2015). For the
    // published tables these are the published weights. For other eyes they follow the CIE's method: L : M is
    // 1.89 for the quantal fundamentals of the 32-year-old at the same field, other eyes give the same
    // weights to what their cones catch, and V_F is scaled to a peak of 1. A missing cone has weight 0. Both
    // weights are 0 for an eye without L and M, which has no V_F.
    Eigen::Vector2d luminous_efficiency_weights() const { return luminance_weights_; }
    // Gives the factor k of s = k S / V_F that makes the largest s on a 0.1 nm grid 1. It is 1 if the eye has
    // no S or no V_F.
    double macleod_boynton_s_scale() const { return s_scale_; }

  private:
    void take_away_lacking_cones();

    ObserverParameters parameters_;
    bool published_ = false;
    int first_nm_ = kFirstNm;
    Table energy_;
    Eigen::Vector2d luminance_weights_;
    double s_scale_ = 1.0;
};

// These are the curves that an eye is built of, for readers who want to see how its filters shape its cones.
// Densities are decadic. Absorbances have a peak of about 1 (low density), and are 0 for a missing cone.
struct EyeParts {
    int first_nm = 0;
    Eigen::VectorXd macular_density;
    Eigen::VectorXd ocular_density;   // lens and other ocular media
    Eigen::MatrixX3d absorbance;      // L, M, S
    Eigen::Vector3d pigment_density;  // peak
};
EyeParts eye_parts(const ObserverParameters& parameters);  // throws as Observer does

}  // namespace isoseam
