#pragma once
// An eye: three cone sensitivities at the cornea.

#include <Eigen/Core>
#include <string>

#include "colorimetry/colour_types.h"
#include "colorimetry/quantity.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

// What makes an eye. Field 1 to 10 degrees, age 20 to 80 years (the range of CIE 170-1:2006). Percent changes
// are of peak optical density and greater than -100; shifts move a pigment on a log-wavelength axis, so that
// its peak moves by that many nm. (Asano, Fairchild & Blonde 2016 for the parameters; Stockman & Rider 2023
// for the form of a shift.)
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

    bool is_standard() const;  // no deviation from the CIE mean observer
};

class Observer {
  public:
    static constexpr int kFirstNm = 390;
    static constexpr int kLastNm = 830;
    static constexpr int kSamples = kLastNm - kFirstNm + 1;
    using Table = Eigen::Matrix<double, kSamples, 3>;  // row i: kFirstNm + i nm; columns L, M, S

    // CIE 170-1:2006. At 2 and at 10 degrees and 32 years without deviations the published tables themselves,
    // else computed from the standard's components, peak 1 on a 0.1 nm grid. S is 0 above 615 nm, whatever
    // the shift. Throws InputError (key "field", "age", "lens", ...) outside the ranges above or where a
    // shift leaves the table (more than 30 nm), and for changes of density by more than 1000 %.
    explicit Observer(const ObserverParameters& parameters);
    static Observer cie170(Degrees field, Years age);

    const ObserverParameters& parameters() const { return parameters_; }
    bool is_published_table() const { return published_; }
    // "CIE 170-1:2006, field 2 deg, age 32 years (published table)": names what is needed to make it again.
    std::string description() const;

    // Energy-based sensitivities, peak 1.
    const Table& energy() const { return energy_; }
    // Quantal sensitivities, each with its largest value on a 0.1 nm grid at 1.
    const Table& quantal() const { return quantal_; }
    // Energy-based sensitivity at any wavelength in 390 to 830 nm: 4-point Lagrange in log10 of the 1 nm
    // values where all four are positive, linear elsewhere; exact at whole nanometres; 0 outside.
    Eigen::Vector3d energy_at_nm(double nm) const;

    // Trapezoid over the union of the spectrum's grid and the observer's 1 nm grid: for grids of whole
    // nanometres that is the CIE's sum at 1 nm, with half a sample at 390 and at 830 nm. Lines count with the
    // sensitivity at their wavelength.
    Lms excitations(const Spectrum& spectrum) const;

    // The share of this observer's sensitivity (each cone's area) that lies outside the spectrum's range,
    // where nothing was measured: the largest of the three cones. 0 for a spectrum that covers 390 to 830 nm
    // or has only lines.
    double unseen_share(const Spectrum& spectrum) const;

    // V_F = weights[0] L + weights[1] M (energy, peak 1; CIE 170-2:2015). For the published tables the
    // published weights, else by the CIE's method: L : M = 1.89 for the quantal fundamentals of the
    // 32-year-old at the same field; other eyes weigh what their cones catch alike; V_F scaled to peak 1.
    Eigen::Vector2d luminous_efficiency_weights() const { return luminance_weights_; }
    // The factor k of s = k S / V_F that makes the largest s on a 0.1 nm grid 1.
    double macleod_boynton_s_scale() const { return s_scale_; }

  private:
    ObserverParameters parameters_;
    bool published_ = false;
    Table energy_;
    Table quantal_;
    Eigen::Vector2d luminance_weights_;
    double s_scale_ = 1.0;
};

}  // namespace isoseam
