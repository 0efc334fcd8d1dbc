#pragma once
// A spectrum is a light as radiance over wavelength.
//
//     const Spectrum light = Spectrum::blackbody(2856.0).scaled(0.01) + Spectrum::from_line(589.0, 0.2);

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace isoseam {

// A spectrum has spectral radiance on its own grid, in W/(sr m2 nm), linear between samples, and any number
// of spectral lines, in W/(sr m2) each. It is immutable. Outside [first_nm, last_nm] nothing is known of the
// continuous part. Code that uses a spectrum there says so (see Observer::unseen_share) and does not silently
// read zeros.
class Spectrum {
  public:
    struct Line {
        double nm = 0.0;
        double radiance_w_sr_m2 = 0.0;
    };

    Spectrum() = default;  // no light at all

    // `wavelengths_nm` must increase strictly, have at least two entries, and lie within 100 to 5000 nm. The
    // values must be finite and not negative. Throws an InputError that names the first wrong sample.
    static Spectrum from_radiance_w_sr_m2_nm(std::vector<double> wavelengths_nm, std::vector<double> values);
    // The same, but negative values are allowed, for differences of lights and readings with noise.
    static Spectrum from_signed_w_sr_m2_nm(std::vector<double> wavelengths_nm, std::vector<double> values);
    // Makes one spectral line, with a radiance of 0 or more.
    static Spectrum from_line(double nm, double radiance_w_sr_m2);
    // This is Planck's law, relative, with the value 1 at 560 nm, from 300 to 900 nm in 1 nm steps, for a
    // temperature above 0 K. CIE 015:2018, c2 = 1.4388e-2 m K.
    static Spectrum blackbody(double temperature_k);
    // The value is 1 at every wavelength from 300 to 900 nm.
    static Spectrum equal_energy();

    bool has_continuous_part() const { return !wavelengths_nm_.empty(); }
    const std::vector<double>& wavelengths_nm() const { return wavelengths_nm_; }
    const std::vector<double>& values() const { return values_; }
    const std::vector<Line>& lines() const { return lines_; }
    // The values of the continuous part at each whole nanometre from first_nm() to last_nm(), where all its
    // samples stand at whole nanometres; they say the same as the samples. The list is empty where a sample
    // stands between whole nanometres.
    const std::vector<double>& values_per_nm() const { return steps_of_1_nm_ ? values_ : per_nm_; }
    double first_nm() const;  // of the continuous part, which must exist
    double last_nm() const;

    // The continuous part at one wavelength inside the range (linear between samples).
    double at_nm(double nm) const;
    // Gives the radiance in W/(sr m2): the exact integral of the piecewise-linear part, plus the lines.
    double integral_w_sr_m2() const;
    // Gives exactly the same function on a finer or different grid, linear between samples. The grid must lie
    // inside the range.
    Spectrum sampled_on(std::span<const double> grid_nm) const;
    // Gives the mean over bins around `grid_nm` (edges are half-way between; the first and the last bin begin
    // and end at their grid point). This keeps the integral if the grid covers the range. Lines count in
    // their bin. Light outside the grid is left out. If the grid goes beyond the range, bins count what is
    // known. This is for turning fine readings into coarse ones.
    Spectrum binned_on(std::span<const double> grid_nm) const;

    Spectrum scaled(double factor) const;
    // The sum of two lights. Its grid is the union of both grids. Where only one spectrum is known, the other
    // adds 0: it falls to 0 within 1e-6 nm of its end.
    friend Spectrum operator+(const Spectrum& a, const Spectrum& b);

  private:
    std::vector<double> wavelengths_nm_;
    std::vector<double> values_;
    std::vector<Line> lines_;
    bool steps_of_1_nm_ = false;
    std::vector<double> per_nm_;  // unless steps_of_1_nm_
    void fill_per_nm();
};

// Reads a table of "wavelength_nm,value" rows (comma, semicolon, tab or blanks between; '#' starts a comment;
// one header row allowed). `file` is for messages only. Throws InputError with every faulty line.
Spectrum parse_spectrum_table(std::string_view text, const std::string& file);

}  // namespace isoseam
