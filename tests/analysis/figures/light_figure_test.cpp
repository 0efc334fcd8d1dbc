#include "analysis/figures/light_figure.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "analysis/figures/gnuplot.h"
#include "support/svg_picture.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

LightCurves flat(double value, std::vector<double> excitations) {
    return {"flat", Spectrum::from_radiance_w_sr_m2_nm({300.0, 900.0}, {value, value}),
            std::move(excitations)};
}

LightCurves line(double nm, double radiance, std::vector<double> excitations) {
    return {"line", Spectrum::from_line(nm, radiance), std::move(excitations)};
}

SvgPicture svg_of(const std::vector<LightCurves>& lights,
                  const std::vector<std::string>& receptors = {"L", "M", "S"}) {
    return SvgPicture(drawn(light_figure("an eye", lights, receptors), PictureFormat::svg));
}

double height(const SvgPath& area) {
    const auto [top, bottom] = std::minmax_element(area.points.begin(), area.points.end(),
                                                   [](const auto& a, const auto& b) { return a.y < b.y; });
    return bottom->y - top->y;
}

}  // namespace

TEST_CASE("Bars are as high as the excitations, with their values over them") {
    const SvgPicture picture =
        svg_of({flat(1e-3, {0.08, 0.04, 0.02}), line(589.0, 0.05, {0.0625, 0.03, 0.00002})});
    const std::vector<SvgPath>& first = picture.named("excitations by flat").areas;
    const std::vector<SvgPath>& second = picture.named("excitations by line").areas;
    REQUIRE(first.size() == 3);
    REQUIRE(second.size() == 3);
    constexpr double kOnePixel = 1.0;
    const double unit = height(first[0]) / 0.08;
    CHECK(height(first[1]) == Approx(0.04 * unit).margin(kOnePixel));
    CHECK(height(first[2]) == Approx(0.02 * unit).margin(kOnePixel));
    CHECK(height(second[0]) == Approx(0.0625 * unit).margin(kOnePixel));
    CHECK(height(second[1]) == Approx(0.03 * unit).margin(kOnePixel));
    for (const std::string value :
         {"80.0", "40.0", "20.0", "62.5", "30.0", "0.0200", "L", "M", "S", "an eye", "flat", "line"}) {
        CAPTURE(value);
        CHECK(picture.text(value).text == value);
    }
    CHECK(picture.text("excitation, mW/(sr m\u00b2)").at.x > 0.0);
    CHECK_THAT(picture.description(),
               Catch::Contains("flat: L 0.08, M 0.04, S 0.02 W/(sr m2). line: L 0.0625"));
    CHECK(picture.colours() == std::set<std::string>{"#FFFFFF", "#ffffff", "black", "rgb(0,0,0)"});
}

TEST_CASE("Spectral lines stand on an axis of their own beside a spectrum") {
    const SvgPicture both = svg_of({flat(1e-3, {1, 1, 1}), line(589.0, 0.05, {1, 1, 1})});
    CHECK(both.text("spectral radiance, mW/(sr m\u00b2 nm)").at.x <
          both.text("radiance of spectral lines, mW/(sr m\u00b2)").at.x);
    CHECK(both.named("spectral lines of line").paths.at(0).dashes != "");
    CHECK(both.named("spectrum of flat").paths.at(0).dashes.empty());

    const std::vector<std::string> words = svg_of({line(589.0, 50.0, {1, 1, 1})}).words();
    CHECK(std::count(words.begin(), words.end(), "radiance of spectral lines, W/(sr m\u00b2)") == 1);
    CHECK(std::none_of(words.begin(), words.end(),
                       [](const std::string& word) { return word.rfind("spectral radiance", 0) == 0; }));
}

TEST_CASE(
    "The axes suit dark lights, lights of very different size, negative radiances and lines at the edge") {
    const SvgPicture dark = svg_of({{"black", Spectrum(), {0, 0, 0}}, {"black too", Spectrum(), {0, 0, 0}}});
    CHECK(dark.text("no light").text == "no light");
    CHECK(dark.text("0").text == "0");

    const SvgPicture unequal = svg_of({flat(1.0, {700, 600, 500}), flat(1e-9, {7e-7, 6e-7, 5e-7})});
    CHECK(unequal.text("700").text == "700");
    CHECK(unequal.text("7.00e-07").text == "7.00e-07");
    CHECK(height(unequal.named("excitations by flat").areas.at(0)) > 50.0);

    const Figure negative = light_figure(
        "eye",
        {{"n", Spectrum::from_signed_w_sr_m2_nm({400.0, 500.0, 600.0}, {-2e-6, 1e-6, 0.0}), {1, 1, 1}}});
    CHECK(*negative.rows[0].panels[0].y.from < -2.0);
    CHECK(negative.rows[0].panels[0].y.zero_line);
    CHECK(negative.rows[0].panels[0].y.label == "spectral radiance, \u00b5W/(sr m\u00b2 nm)");

    const Figure edge = light_figure("eye", {line(825.0, 1.0, {0, 0, 0})});
    CHECK(*edge.rows[0].panels[0].x.to > 825.0);
}

TEST_CASE("A spectrum is drawn inside the axis only, cut where the axis ends") {
    const Figure figure = light_figure("eye", {flat(2.0, {1, 1, 1})});
    const Series& series = figure.rows[0].panels[0].series.at(0);
    CHECK(series.x == std::vector<double>{380.0, 780.0});
    CHECK(series.y == std::vector<double>{2.0, 2.0});
    const Figure outside =
        light_figure("eye", {{"far", Spectrum::from_radiance_w_sr_m2_nm({900.0, 950.0}, {1, 1}), {0, 0, 0}}});
    CHECK(outside.rows[0].panels[0].series.empty());
}

TEST_CASE("Other receptors may stand beside the cones") {
    const SvgPicture picture = svg_of({flat(1.0, {1, 2, 3, 4})}, {"L", "M", "S", "rods"});
    CHECK(picture.named("excitations by flat").areas.size() == 4);
    CHECK(picture.text("rods").text == "rods");
    CHECK_THROWS_AS(light_figure("eye", {flat(1.0, {1, 2, 3, 4})}), std::logic_error);
    CHECK_THROWS_AS(light_figure("eye", {}), std::logic_error);
}
