#include "colorimetry/light.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <map>

#include "colorimetry/colour_space.h"
#include "colorimetry/pooled_cardinal_contrast.h"
#include "support/error_text.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

constexpr double kRounding = 1e-12;

const Observer& observer() {
    static const Observer result = Observer::cie170(Degrees::from_degrees(2), Years::from_years(32));
    return result;
}

// Lights by name, as a protocol defines them.
class NamedLights {
  public:
    explicit NamedLights(const std::map<std::string, std::string>& texts) {
        for (const auto& [name, text] : texts) {
            specs_.emplace(name, parse_light(text));
        }
    }
    LightContext context() const {
        LightContext context;
        context.find_light = [this](const std::string& name) {
            const auto found = specs_.find(name);
            return found == specs_.end() ? nullptr : &found->second;
        };
        context.known_names = [this] {
            std::vector<std::string> names;
            for (const auto& [name, spec] : specs_) {
                names.push_back(name);
            }
            return names;
        };
        return context;
    }

  private:
    std::map<std::string, LightSpec> specs_;
};

Light resolved(std::string_view text, const LightContext& context = {}) {
    return resolve(parse_light(text), observer(), context);
}

std::string error_of(std::string_view text, const LightContext& context = {}) {
    return input_error_text([&] { resolved(text, context); });
}

double difference(const Lms& a, const Lms& b) {
    return (a.vector() - b.vector()).cwiseAbs().maxCoeff() / b.vector().maxCoeff();
}

}  // namespace

TEST_CASE("a spectral line must lie where something is known of the eye") {
    const LightSpec line = parse_light("monochromatic 370 nm at 1 W/(sr m2)");
    const Observer tables = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    CHECK(input_error_text([&] { resolve(line, tables, {}); }) ==
          "a monochromatic light of 370 nm, where nothing is known of this eye; give 390 to 830 nm, or take "
          "an eye from "
          "formulae (360 to 850 nm)");
    ObserverParameters formulae;
    formulae.curves = CurveSource::formulae;
    CHECK(resolve(line, Observer(formulae), {}).lms.s > 0.0);
}

TEST_CASE("lights have the amount that was asked for") {
    for (const char* kind : {"monochromatic 589 nm", "blackbody 2856 K", "daylight 6504 K", "illuminant A",
                             "illuminant D65", "equal-energy"}) {
        const Light by_luminance = resolved(std::string(kind) + " at 20 cd/m2");
        CHECK(luminance_cd_m2(by_luminance.spectrum) == Approx(20.0).epsilon(kRounding));
        CHECK(difference(by_luminance.lms, observer().excitations(by_luminance.spectrum)) == 0.0);
        CHECK_FALSE(by_luminance.spectrum_is_assumed);
        CHECK(resolved(std::string(kind) + " at 0.5 W/(sr m2)").spectrum.integral_w_sr_m2() ==
              Approx(0.5).epsilon(kRounding));
    }
    const Light line = resolved("monochromatic 589 nm at 0.5 W/(sr m2)");
    CHECK((line.lms.vector() - 0.5 * observer().energy_at_nm(589)).cwiseAbs().maxCoeff() <= kRounding);
    CHECK(resolved("black").lms.vector() == Eigen::Vector3d::Zero());
    CHECK(resolved("equal-energy at 0 cd/m2").lms.vector() == Eigen::Vector3d::Zero());
}

TEST_CASE("a light of three numbers gets the nearest spectrum, marked as assumed") {
    const Light colour = resolved("xyY 0.31 0.33 at 20 cd/m2");
    CHECK(colour.spectrum_is_assumed);
    const XyY xyy = xyy_from_xyz(tristimulus(colour.spectrum));
    CHECK(xyy.chromaticity.x == Approx(0.31).epsilon(1e-9));
    CHECK(xyy.chromaticity.y == Approx(0.33).epsilon(1e-9));
    CHECK(xyy.luminance_cd_m2 == Approx(20.0).epsilon(1e-9));
    CHECK(difference(colour.lms, observer().excitations(colour.spectrum)) == 0.0);

    const Light excitations = resolved("lms 0.0927 0.0811 0.0418");
    CHECK(excitations.spectrum_is_assumed);
    CHECK(excitations.lms.vector() == Eigen::Vector3d(0.0927, 0.0811, 0.0418));
    CHECK(difference(observer().excitations(excitations.spectrum), excitations.lms) <= 1e-9);
    CHECK(resolved("lms 0 0 0").spectrum.integral_w_sr_m2() == Approx(0.0).margin(kRounding));
}

TEST_CASE("a contrast is exact, from any light") {
    const NamedLights lights(
        {{"grey", "equal-energy at 20 cd/m2"}, {"line", "monochromatic 500 nm at 20 cd/m2"}});
    for (const std::string background : {"grey", "line", "(blackbody 3000 K at 5 cd/m2)"}) {
        const Light from = resolved(background, lights.context());
        const Light to = resolved("contrast L 5 % S -20 % from " + background, lights.context());
        CHECK(difference(to.lms, {from.lms.l * 1.05, from.lms.m, from.lms.s * 0.8}) <= kRounding);
        CHECK(difference(observer().excitations(to.spectrum), to.lms) <= 1e-9);
        CHECK(to.spectrum_is_assumed);
    }
    CHECK_THAT(error_of("contrast L 5 % from black"),
               Catch::Contains("choose a background that excites each of the three cones"));
    CHECK_THAT(error_of("contrast L 5 % from (monochromatic 650 nm at 20 cd/m2)"), Catch::Contains("S 0"));
}

TEST_CASE("daylight and illuminants have their chromaticities") {
    // CIE 015:2018, D65 (from memory).
    for (const char* text : {"illuminant D65 at 20 cd/m2", "daylight 6503.6 K at 20 cd/m2"}) {
        const XyY xyy = xyy_from_xyz(tristimulus(resolved(text).spectrum));
        CHECK(std::abs(xyy.chromaticity.x - 0.31272) <= 3e-5);
        CHECK(std::abs(xyy.chromaticity.y - 0.32903) <= 3e-5);
    }
}

TEST_CASE("a contrast along a cardinal axis has the length that was asked for") {
    const NamedLights lights({{"grey", "equal-energy at 20 cd/m2"}, {"dim", "equal-energy at 1 cd/m2"}});
    const Light grey = resolved("grey", lights.context());
    for (const char* axis : {"luminance", "L-M", "S"}) {
        const Light light = resolved(fmt::format("pooled-cardinal {} 5 % from grey", axis), lights.context());
        CHECK(cone_contrast(light.lms, grey.lms).length() == Approx(0.05).epsilon(kRounding));
        CHECK(difference(observer().excitations(light.spectrum), light.lms) <= 1e-9);
        CHECK(light.spectrum_is_assumed);
    }
    const Light all = resolved("pooled-cardinal S 10 % L-M -2 % luminance 1 % from grey", lights.context());
    const PooledCardinalContrast found = pooled_cardinal_contrast(all.lms, grey.lms, observer());
    CHECK((found.vector() - Eigen::Vector3d(0.01, -0.02, 0.10)).cwiseAbs().maxCoeff() <= kRounding);
    CHECK(resolved("pooled-cardinal S -100 % from grey", lights.context()).lms.s == 0.0);
    CHECK(error_of("pooled-cardinal luminance -180 % from grey", lights.context()) ==
          "column 17: together these contrasts change L by -103.9 %, M by -103.9 %, S by -103.9 %; give "
          "contrasts "
          "that leave each cone -100 % or more (at -100 % nothing is left)");
    CHECK_THAT(error_of("pooled-cardinal S 5 % from black"),
               Catch::Contains("choose a background that excites each of the three cones"));
}

TEST_CASE("a screen that realises a light gives its spectrum") {
    LightContext context;
    const Spectrum screen = Spectrum::from_radiance_w_sr_m2_nm({390.0, 830.0}, {0.001, 0.002});
    Xyz wanted_xyz;
    Lms wanted_lms;
    context.realise_xyz = [&](const Xyz& xyz) {
        wanted_xyz = xyz;
        return screen;
    };
    context.realise_lms = [&](const Lms& lms) {
        wanted_lms = lms;
        return screen;
    };
    const Light colour = resolved("xyY 0.31 0.33 at 20 cd/m2", context);
    CHECK((wanted_xyz.vector() - xyz_from_xyy({{0.31, 0.33}, 20.0}).vector()).norm() <= kRounding);
    CHECK(difference(colour.lms, observer().excitations(screen)) == 0.0);
    CHECK_FALSE(colour.spectrum_is_assumed);
    const Light contrast = resolved("contrast M 5 % from (equal-energy at 20 cd/m2)", context);
    CHECK(contrast.spectrum.values() == screen.values());
    CHECK(difference(wanted_lms, contrast.lms) == 0.0);
    CHECK_FALSE(contrast.spectrum_is_assumed);
    CHECK_FALSE(resolved("lms 1 1 1", context).spectrum_is_assumed);
}

TEST_CASE("mixtures add, and are assumed if a part is") {
    const NamedLights lights({{"grey", "equal-energy at 20 cd/m2"}, {"own", "xyY 0.4 0.3 at 2 cd/m2"}});
    const Light grey = resolved("grey", lights.context());
    const Light line = resolved("monochromatic 589 nm at 20 cd/m2");
    const Light mixed =
        resolved("mixture 0.6 grey + 40 % (monochromatic 589 nm at 20 cd/m2)", lights.context());
    CHECK(difference(mixed.lms, Lms::from_vector(0.6 * grey.lms.vector() + 0.4 * line.lms.vector())) <=
          kRounding);
    CHECK(difference(observer().excitations(mixed.spectrum), mixed.lms) <= kRounding);
    CHECK(luminance_cd_m2(mixed.spectrum) == Approx(20.0).epsilon(kRounding));
    CHECK_FALSE(mixed.spectrum_is_assumed);
    CHECK(resolved("mixture grey + own", lights.context()).spectrum_is_assumed);
    CHECK(difference(resolved("mixture grey + black", lights.context()).lms, grey.lms) == 0.0);
}

TEST_CASE("a spectrum file is taken as measured, or scaled") {
    LightContext context;
    context.read_spectrum = [](const std::string& path) {
        return parse_spectrum_table(path == "dark.csv" ? "400,0\n700,0\n" : "400,0.001\n700,0.002\n", path);
    };
    CHECK(resolved("spectrum lamp.csv", context).spectrum.values() == std::vector<double>{0.001, 0.002});
    CHECK(luminance_cd_m2(resolved("spectrum lamp.csv at 20 cd/m2", context).spectrum) ==
          Approx(20.0).epsilon(kRounding));
    CHECK(error_of("spectrum dark.csv at 20 cd/m2", context) ==
          "dark.csv has no luminance to scale; choose a light that has some");
    CHECK(error_of("spectrum lamp.csv") ==
          "the spectrum file 'lamp.csv' cannot be read here; use a light that needs no file");
}

TEST_CASE("names that lead nowhere, or round in a circle") {
    const NamedLights lights({{"grey", "equal-energy at 20 cd/m2"},
                              {"white", "mixture 2 grey"},
                              {"a", "mixture grey + b"},
                              {"b", "contrast L 1 % from c"},
                              {"c", "mixture 0.5 a"}});
    CHECK(error_of("contrast L 5 % from gray", lights.context()) ==
          "column 21: unknown light 'gray'; did you mean grey?");
    CHECK(error_of("lamp", lights.context()) ==
          "column 1: unknown light 'lamp'; write one of: a, b, c, grey, white");
    CHECK(error_of("grey") ==
          "column 1: unknown light 'grey'; no light has a name here: write the light itself, such as: "
          "equal-energy at 20 cd/m2");
    CHECK(error_of("a", lights.context()) ==
          "column 13: the light 'a' is defined by itself: a -> b -> c -> a; define one of them without the "
          "others");
    CHECK(luminance_cd_m2(resolved("white", lights.context()).spectrum) == Approx(40.0).epsilon(kRounding));
}

TEST_CASE("long chains of names end, and do not double the work at each step") {
    std::map<std::string, std::string> texts = {{"n0", "equal-energy at 1 cd/m2"}};
    for (int i = 1; i <= 40; ++i) {
        texts["n" + std::to_string(i)] = "mixture n" + std::to_string(i - 1) + " + n" + std::to_string(i - 1);
    }
    const NamedLights lights(texts);
    CHECK(luminance_cd_m2(resolved("n31", lights.context()).spectrum) ==
          Approx(std::ldexp(1.0, 31)).epsilon(1e-9));
    CHECK_THAT(error_of("n40", lights.context()),
               Catch::Contains("ends a chain of more than 32 names; define lights by fewer steps"));
}
