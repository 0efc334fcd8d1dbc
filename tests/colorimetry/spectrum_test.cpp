#include "colorimetry/spectrum.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

#include "colorimetry/observer.h"
#include "support/error_text.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

constexpr double kRounding = 1e-12;
constexpr double kEdge = 1e-8;  // a sum falls to 0 within 1e-6 nm, next to bins and ranges of many nm

std::string error_of(std::vector<double> nm, std::vector<double> values) {
    return input_error_text([&] { Spectrum::from_radiance_w_sr_m2_nm(std::move(nm), std::move(values)); });
}

// An uneven grid with random radiances, somewhere in the visible range, and a line.
Spectrum random_spectrum(std::mt19937& random) {
    std::uniform_real_distribution<double> uniform(0.1, 5.0);
    std::vector<double> nm = {400.0 + 30.0 * uniform(random)};
    std::vector<double> values = {uniform(random)};
    for (int i = 0; i < 40; ++i) {
        nm.push_back(nm.back() + uniform(random));
        values.push_back(uniform(random));
    }
    const double line_nm = (nm.front() + nm.back()) / 2.0;
    return Spectrum::from_radiance_w_sr_m2_nm(nm, values) + Spectrum::from_line(line_nm, uniform(random));
}

}  // namespace

TEST_CASE("a spectrum is linear between its samples, and unknown outside") {
    const Spectrum spectrum = Spectrum::from_radiance_w_sr_m2_nm({400.0, 410.0, 430.0}, {0.0, 1.0, 3.0});
    CHECK(spectrum.at_nm(400.0) == 0.0);
    CHECK(spectrum.at_nm(405.0) == Approx(0.5).epsilon(kRounding));
    CHECK(spectrum.at_nm(430.0) == 3.0);
    CHECK(spectrum.integral_w_sr_m2() == Approx(5.0 + 40.0).epsilon(kRounding));
    CHECK_THROWS_WITH(spectrum.at_nm(430.1),
                      Catch::Contains("nm = 430.1, first_nm() = 400, last_nm() = 430"));
    CHECK_THROWS_AS(spectrum.at_nm(std::numeric_limits<double>::quiet_NaN()), std::logic_error);
    CHECK_THROWS_AS(Spectrum().first_nm(), std::logic_error);
    CHECK(Spectrum().integral_w_sr_m2() == 0.0);
    CHECK(Spectrum::from_line(589.0, 0.25).integral_w_sr_m2() == 0.25);
    CHECK_THROWS_AS(spectrum.scaled(std::numeric_limits<double>::infinity()), std::logic_error);
}

TEST_CASE("a wrong spectrum is refused with its first wrong sample") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK(error_of({400.0}, {1.0}) == "spectrum: 1 wavelengths; give at least two");
    CHECK(error_of({400.0, 410.0}, {1.0}) ==
          "spectrum: 2 wavelengths and 1 values; give one value for each wavelength");
    CHECK(error_of({400.0, 410.0, 405.0}, {1.0, 1.0, 1.0}) ==
          "spectrum: 405 nm follows 410 nm (sample 3); sort the wavelengths, each only once");
    CHECK_THAT(error_of({400.0, 400.0}, {1.0, 1.0}), Catch::Contains("400 nm follows 400 nm"));
    CHECK(error_of({400.0, 410.0}, {1.0, -0.5}) ==
          "spectrum: negative radiance -0.5 at 410 nm (sample 2); a light has 0 or more at each wavelength");
    CHECK_THAT(error_of({0.4, 0.41}, {1.0, 1.0}), Catch::Contains("give wavelengths from 100 to 5000 nm"));
    CHECK_THAT(error_of({400.0, nan}, {1.0, 1.0}), Catch::Contains("wavelength nan nm (sample 2)"));
    CHECK_THAT(error_of({400.0, 410.0}, {1.0, nan}), Catch::Contains("value nan at 410 nm (sample 2)"));
    CHECK_THAT(input_error_text([] { Spectrum::from_line(50.0, 1.0); }), Catch::Contains("a line at 50 nm"));
    for (const double wrong : {-1.0, nan, std::numeric_limits<double>::infinity()}) {
        CHECK_THAT(input_error_text([&] { Spectrum::from_line(589.0, wrong); }),
                   Catch::Contains("give a finite radiance"));
    }
    CHECK_NOTHROW(Spectrum::from_signed_w_sr_m2_nm({400.0, 410.0}, {1.0, -0.5}));
}

TEST_CASE("a blackbody follows Planck's law") {
    // CIE standard illuminant A is the blackbody of 2848 (2856) K; its table has 9.795100 at 380, 100 at 560
    // and 241.675 at 780 nm (CIE 015, from memory), with c2 = 1.435e-2 m K at 2848 K; that is the same
    // as 1.4388e-2 at 2855.54 K.
    const Spectrum illuminant_a = Spectrum::blackbody(2848.0 * 1.4388 / 1.4350);
    constexpr double kTableDigits = 1e-5;
    CHECK(100.0 * illuminant_a.at_nm(380.0) == Approx(9.7951).epsilon(kTableDigits));
    CHECK(100.0 * illuminant_a.at_nm(560.0) == Approx(100.0).epsilon(kRounding));
    CHECK(100.0 * illuminant_a.at_nm(780.0) == Approx(241.675).epsilon(kTableDigits));
    CHECK(Spectrum::blackbody(100.0).at_nm(560.0) == 1.0);  // far below what exp() of the exponent could hold
    for (const double wrong : {0.0, -5.0, std::numeric_limits<double>::quiet_NaN()}) {
        CHECK_THAT(input_error_text([&] { Spectrum::blackbody(wrong); }),
                   Catch::Contains("give a temperature greater than 0 K"));
    }
    CHECK_THAT(
        input_error_text([] { Spectrum::blackbody(1.0); }),
        Catch::Contains(
            "a blackbody of 1 K has no light between 300 and 900 nm; give a temperature of 100 K or more"));
}

TEST_CASE("a finer grid keeps the function, bins keep the radiance, sums add") {
    std::mt19937 random(7);
    for (int trial = 0; trial < 20; ++trial) {
        const Spectrum a = random_spectrum(random);
        const Spectrum b = random_spectrum(random);

        std::vector<double> finer = a.wavelengths_nm();
        for (std::size_t i = 1; i < a.wavelengths_nm().size(); ++i) {
            finer.push_back((2.0 * a.wavelengths_nm()[i - 1] + a.wavelengths_nm()[i]) / 3.0);
        }
        std::sort(finer.begin(), finer.end());
        const Spectrum resampled = a.sampled_on(finer);
        CHECK(resampled.integral_w_sr_m2() == Approx(a.integral_w_sr_m2()).epsilon(kRounding));
        for (double nm = a.first_nm(); nm <= a.last_nm(); nm += 0.37) {
            CHECK(resampled.at_nm(nm) == Approx(a.at_nm(nm)).epsilon(1e-9));
        }

        std::vector<double> coarse;
        for (double nm = 380.0; nm <= 780.0; nm += 4.0) {
            coarse.push_back(nm);
        }
        const Spectrum binned = a.binned_on(coarse);
        CHECK(binned.lines().empty());
        CHECK(binned.integral_w_sr_m2() == Approx(a.integral_w_sr_m2()).epsilon(kRounding));

        const Spectrum sum = a + b.scaled(2.0);
        CHECK(sum.lines().size() == 2);
        CHECK(sum.integral_w_sr_m2() ==
              Approx(a.integral_w_sr_m2() + 2.0 * b.integral_w_sr_m2()).epsilon(kEdge));
        CHECK((a + b).at_nm(a.first_nm() + 50.0) ==
              Approx((b + a).at_nm(a.first_nm() + 50.0)).epsilon(kRounding));
    }
}

TEST_CASE("the gap between two spectra is dark, and no light is the zero of sums") {
    const Spectrum a = Spectrum::from_radiance_w_sr_m2_nm({400.0, 450.0}, {2.0, 2.0});
    const Spectrum b = Spectrum::from_radiance_w_sr_m2_nm({600.0, 650.0}, {3.0, 3.0});
    const Spectrum sum = a + b;
    CHECK(sum.at_nm(500.0) == 0.0);
    CHECK(sum.at_nm(450.0) == 2.0);
    CHECK(sum.first_nm() == 400.0);
    CHECK(sum.last_nm() == 650.0);
    CHECK((a + Spectrum()).values() == a.values());
    CHECK((Spectrum() + a).wavelengths_nm() == a.wavelengths_nm());
    CHECK_FALSE((Spectrum() + Spectrum::from_line(589.0, 1.0)).has_continuous_part());
}

TEST_CASE("samples are refused where nothing is known") {
    const std::vector<double> grid = {390.0, 500.0};
    CHECK(input_error_text([&] {
              (void)Spectrum::from_radiance_w_sr_m2_nm({400.0, 700.0}, {1.0, 1.0}).sampled_on(grid);
          }) ==
          "spectrum: samples wanted from 390 to 500 nm, but the spectrum is known from 400 to 700 nm; ask "
          "for wavelengths "
          "inside its range");
    CHECK_THAT(input_error_text([&] { (void)Spectrum::from_line(589.0, 1.0).sampled_on(grid); }),
               Catch::Contains("in lines only"));
}

TEST_CASE("samples at whole nanometres are known at each nanometre, and are caught alike") {
    const Spectrum coarse =
        Spectrum::from_radiance_w_sr_m2_nm({400.0, 404.0, 411.0, 700.0}, {1.0, 3.0, 2.0, 2.0}) +
        Spectrum::from_line(589.3, 5.0);
    REQUIRE(coarse.values_per_nm().size() == 301);
    CHECK(coarse.values_per_nm()[2] == 2.0);
    CHECK(coarse.scaled(0.5).values_per_nm()[4] == 1.5);
    // A sample at half a nanometre on the same straight line changes nothing but the way it is summed.
    const Spectrum same =
        Spectrum::from_radiance_w_sr_m2_nm({400.0, 404.0, 411.0, 500.5, 700.0}, {1.0, 3.0, 2.0, 2.0, 2.0}) +
        Spectrum::from_line(589.3, 5.0);
    CHECK(same.values_per_nm().empty());
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    // The two trapezoids at 500.5 nm differ by how much the sensitivities curve there.
    CHECK((observer.excitations(same).vector() - observer.excitations(coarse).vector()).norm() <=
          1e-6 * observer.excitations(coarse).vector().norm());
}
