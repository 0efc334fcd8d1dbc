#include "protocols/setup/gamut_advice.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <regex>

#include "base/random.h"
#include "colorimetry/colour_space.h"
#include "support/error_text.h"
#include "support/invented_display.h"
#include "support/protocols/example_protocol.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

bool fits(const DriveSolver& solver, const Lms& light, double factor) {
    return solver.solve(Lms::from_vector(factor * light.vector())).in_gamut;
}

// Against a plain scan over factors from 1e-6 to 1e6.
void check_factors(const DriveSolver& solver, const Lms& light) {
    const std::optional<FactorRange> range = fitting_factors(solver, light);
    if (!range) {
        for (int i = -600; i <= 600; ++i)
            REQUIRE_FALSE(fits(solver, light, std::pow(10.0, 0.01 * i)));
        return;
    }
    constexpr double kBeside = 1e-6;
    CHECK(fits(solver, light, range->lowest));
    CHECK(fits(solver, light, range->highest));
    CHECK_FALSE(fits(solver, light, range->lowest * (1.0 - kBeside)));
    CHECK_FALSE(fits(solver, light, range->highest * (1.0 + kBeside)));
}

}  // namespace

TEST_CASE("the factors that bring a light into gamut are found, and none where none does") {
    const Observer observer({});
    for (const std::vector<double>& peaks_nm :
         {std::vector<double>{620.0, 535.0, 455.0}, std::vector<double>{640.0, 580.0, 525.0, 490.0, 450.0}}) {
        const DriveSolver solver(invented_display(peaks_nm), observer);
        const RandomStream random{31, 0};
        int none = 0;
        for (std::uint64_t i = 0; i < 120; ++i) {
            const Chromaticity chromaticity{0.05 + 0.65 * random.uniform(3 * i),
                                            0.05 + 0.75 * random.uniform(3 * i + 1)};
            const double luminance = std::exp(12.0 * random.uniform(3 * i + 2) - 4.0);
            const Spectrum base = Spectrum::equal_energy();
            const Spectrum spectrum = nearest_spectrum(base.scaled(luminance / luminance_cd_m2(base)),
                                                       xyz_from_xyy({chromaticity, luminance}));
            const Lms light = observer.excitations(spectrum);
            if (!(light.vector().minCoeff() > 0.0))
                continue;
            INFO(chromaticity.x << " " << chromaticity.y << " " << luminance);
            check_factors(solver, light);
            none += fitting_factors(solver, light) ? 0 : 1;
        }
        CHECK(none > 10);
        CHECK(none < 110);
    }
}

TEST_CASE("the luminance that a message names does fit, and a little more does not") {
    const std::string told = input_error_text([] {
        setup_of(example_with({{"at 30 cd/m2", "at 700 cd/m2"}}));
    });
    std::smatch found;
    REQUIRE(std::regex_search(told, found, std::regex("up to ([0-9.]+) cd/m2 would fit \\(it has 700\\)")));
    const double named = std::stod(found[1]);
    const auto grey_at = [](double luminance) {
        const std::string at = "at " + std::to_string(luminance) + " cd/m2";
        // The half that shows it may be met by the other, dimmer screen: one screen only.
        return input_error_text([&] {
            setup_of(example_with({{"at 30 cd/m2", at},
                                   {"contrast L 4 % M -4 % from grey", "xyY 0.31 0.33 at 20 cd/m2"},
                                   {", narrow: " + kDemoNarrowBand, ""},
                                   {"right: narrow", "right: lcd"}}));
        });
    };
    CHECK(grey_at(named) == "no error");
    CHECK(grey_at(named * 1.02).find("out of the gamut") !=
          std::string::npos);  // named is cut to three digits
}

TEST_CASE("the share of a contrast that a message names does fit") {
    const auto setup_with = [](double percent) {
        const std::string contrast =
            "L " + std::to_string(percent) + " % M -" + std::to_string(percent) + " %";
        return input_error_text([&] { setup_of(example_with({{"L 4 % M -4 %", contrast}})); });
    };
    const std::string told = setup_with(60.0);
    std::smatch found;
    REQUIRE(std::regex_search(told, found,
                              std::regex("lower the contrast: up to ([0-9.]+) times this one would fit")));
    CHECK(setup_with(60.0 * std::stod(found[1])) == "no error");
    CHECK(setup_with(61.0 * std::stod(found[1])).find("out of the gamut") != std::string::npos);
}

TEST_CASE("a spectral light is told to fit at no luminance") {
    // Of 12 spectral lights from 400 to 680 nm none is inside an ordinary LCD's gamut, at any luminance.
    const Setup setup = setup_of(kExample);
    for (int nm = 400; nm <= 680; nm += 25) {
        const LightSpec spec = parse_light("monochromatic " + std::to_string(nm) + " nm at 20 cd/m2");
        CHECK(gamut_remedy(setup, spec, 0, 0).find("no luminance fits") == 0);
    }
}
