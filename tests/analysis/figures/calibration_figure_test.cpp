#include "analysis/figures/calibration_figure.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "analysis/figures/gnuplot.h"
#include "support/svg_picture.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

SvgPicture svg_of(const Figure& figure) {
    return SvgPicture(drawn(figure, PictureFormat::svg));
}

SpectrumCurve bell(const std::string& name, double centre_nm) {
    SpectrumCurve curve{name, {}, {}};
    for (double nm = 380.0; nm <= 780.0; nm += 4.0) {
        curve.wavelengths_nm.push_back(nm);
        curve.values.push_back(std::exp(-std::pow((nm - centre_nm) / 20.0, 2.0)));
    }
    return curve;
}

}  // namespace

TEST_CASE("Primaries differ in dash and bear their names, without colour") {
    const SvgPicture picture = svg_of(
        primaries_figure("counts", {bell("r", 610.0), bell("g", 530.0), bell("b", 450.0), bell("w", 560.0)}));
    std::set<std::string> dashes;
    for (const char* name : {"r", "g", "b", "w"}) {
        dashes.insert(picture.named(name).paths.at(0).dashes);
        CHECK(picture.text(name).text == name);
    }
    CHECK(dashes.size() == 4);
    CHECK(picture.text("b").at.x < picture.text("g").at.x);
    CHECK(picture.text("g").at.x < picture.text("r").at.x);
    for (const std::string& colour : picture.colours()) {
        CAPTURE(colour);
        CHECK((colour == "#FFFFFF" || colour == "#ffffff" || colour == "black" || colour == "rgb(0,0,0)" ||
               colour == "rgb(128,128,128)"));
    }
}

TEST_CASE("Each primary has a tone panel with its residuals below, three beside each other") {
    const ToneFigureCurve curve{"p", {0.0, 0.5, 1.0}, {0.0, 0.2, 1.0}, {0.5, 1.0}, {0.21, 1.0}, {0.4, 0.0}};
    const Figure figure = tone_figure({curve, curve, curve, curve});
    REQUIRE(figure.rows.size() == 4);
    CHECK(figure.rows[0].panels.size() == 3);
    CHECK(figure.rows[1].panels.size() == 3);
    CHECK(figure.rows[2].panels.size() == 1);
    CHECK(figure.rows[1].panels[2].series.at(0).y == curve.residual);
    CHECK(*figure.rows[1].panels[0].y.to >= 0.4);
    const SvgPicture picture = svg_of(tone_figure({curve}));
    CHECK(picture.named("read, p").markers == 2);
    CHECK(picture.named("residual, p").markers == 2);
}

TEST_CASE("A form without a score has no marker") {
    const double none = std::numeric_limits<double>::quiet_NaN();
    const SvgPicture picture = svg_of(score_figure({"one", "two"}, {{"r", {0.3, none}}, {"g", {0.2, 0.1}}}));
    CHECK(picture.text("two").text == "two");
    // One more than there are scores: the sample in the key.
    CHECK(picture.named("g").markers == picture.named("r").markers + 1);
}

TEST_CASE("Errors stand inside the axis, also beyond the limits") {
    const Figure figure = additivity_figure({{0.2, -7.0, 0.1}, {0.0, 0.0, 3.0}}, 1.0);
    CHECK(*figure.rows[0].panels[0].y.from < -7.0);
    const Figure errors = verification_figure({{0.5, 9.0}, {{0.1, 0.1, 0.1}, {5.0, 0.0, 0.0}}, 3.0, 2.0});
    CHECK(*errors.rows[0].panels[0].y.to > 9.0);
    CHECK(*errors.rows[1].panels[0].y.to > 5.0);
    const SvgPicture picture = svg_of(errors);
    CHECK(picture.text("L cone").text == "L cone");
    CHECK(picture.text("S cone").text == "S cone");
}

TEST_CASE("The gamut encloses all primaries, inside the spectral locus") {
    // u', v' of the primaries of Recommendation ITU-R BT.709 (from its x, y), and a fourth primary between
    // two of them.
    const std::vector<NamedChromaticity> primaries{
        {"r", 0.4507, 0.5229}, {"y", 0.28, 0.54}, {"b", 0.1754, 0.1579}, {"g", 0.1250, 0.5625}};
    const Figure figure = gamut_figure(primaries, {"white", 0.1978, 0.4683});
    const Series& gamut = figure.rows[0].panels[0].series.at(1);
    CHECK(gamut.x.front() == gamut.x.back());
    CHECK(gamut.x.size() == 4);  // y lies inside
    // The locus at 520 nm: x 0.0743, y 0.8338 (CIE 018), from memory; u' = 4x / (-2x + 12y + 3).
    const Series& locus = figure.rows[0].panels[0].series.at(0);
    const double u = 4.0 * 0.0743 / (-2.0 * 0.0743 + 12.0 * 0.8338 + 3.0);
    CHECK(locus.x.at((520 - 380) / 2) == Approx(u).margin(1e-4));
    CHECK(svg_of(figure).text("white").text == "white");
}

TEST_CASE("White over time, at places and on areas tells its values") {
    const Figure drift = drift_figure({true, {0.0, 10.0, 20.0}, {-0.5, 0.0, 0.5}, {0.0, 20.0}, {-0.5, 0.5}});
    CHECK(svg_of(drift).named("taken out of the readings").paths.size() == 1);
    CHECK(svg_of(drift).named("read").markers == 3);
    CHECK(drift_figure({false, {1.0, 2.0}, {0.0, 0.0}, {}, {}}).rows[0].panels[0].x.label ==
          "reading of white");
    const SvgPicture places = svg_of(uniformity_figure({{0.5, 0.5, 0.0}, {0.1, 0.9, -4.04}}));
    CHECK(places.text("-4.0 %").at.x < places.text("+0.0 %").at.x);
    CHECK_THAT(places.description(), Catch::Contains("-4.0 % at (0.1, 0.9)."));
    CHECK_THAT(area_figure({{10.0, 0.0}, {100.0, -12.0}}).description, Catch::Contains("-12.0 % on 100 %"));
}
