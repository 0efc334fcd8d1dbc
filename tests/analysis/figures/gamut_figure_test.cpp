#include "analysis/figures/gamut_figure.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/figures/gnuplot.h"
#include "support/svg_picture.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

Observer standard_eye() {
    return Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
}

GamutDiagram diagram(double x, double y, double size) {
    GamutDiagram diagram;
    diagram.primaries = {{"first", x, y}, {"second", x + size, y}, {"third", x, y + size}};
    diagram.others = {{"white", x + 0.3 * size, y + 0.3 * size}};
    diagram.outline = {0, 1, 2};
    return diagram;
}

Figure figure() {
    return gamut_figure("a screen", standard_eye(), diagram(0.2, 0.2, 0.25), diagram(0.6, 0.1, 0.2));
}

}  // namespace

TEST_CASE("a gamut is drawn closed in both diagrams, black, with its corners named") {
    const SvgPicture picture(drawn(figure(), PictureFormat::svg));
    const auto count = [&](const std::string& word) {
        const std::vector<std::string> words = picture.words();
        return std::count(words.begin(), words.end(), word);
    };
    for (const std::string name : {"first", "second", "third", "white"}) {
        CAPTURE(name);
        CHECK(count(name) == 2);
    }
    CHECK(count("a screen") == 1);
    const std::vector<SvgPoint>& outline = picture.named("gamut").paths.at(0).points;
    REQUIRE(outline.size() == 4);
    CHECK(outline.front().x == outline.back().x);
    CHECK(outline.front().y == outline.back().y);
    CHECK_THAT(picture.description(), Catch::Contains("u', v': first 0.2000 0.2000, second 0.4500 0.2000") &&
                                          Catch::Contains("l, s: first 0.6000 0.1000"));
}

// CIE 015: u' and v' of spectral lights from CIE 1931 x, y at 520 nm (0.0743, 0.8338) and 700 nm (0.7347,
// 0.2653).
TEST_CASE("the line of the spectrum passes where the CIE has it") {
    const Series spectrum = figure().rows[0].panels[0].series.at(0);
    REQUIRE(spectrum.name == "spectrum");
    const auto u = [](double x, double y) { return 4.0 * x / (-2.0 * x + 12.0 * y + 3.0); };
    const auto v = [](double x, double y) { return 9.0 * y / (-2.0 * x + 12.0 * y + 3.0); };
    CHECK(spectrum.x.at(120) == Approx(u(0.0743, 0.8338)).margin(1e-4));
    CHECK(spectrum.y.at(120) == Approx(v(0.0743, 0.8338)).margin(1e-4));
    CHECK(spectrum.x.at(300) == Approx(u(0.7347, 0.2653)).margin(1e-4));
    CHECK(spectrum.x.back() == spectrum.x.front());
}

TEST_CASE("the axes of l and s hold the gamut, and the spectrum is cut where they end") {
    const Panel panel = figure().rows[0].panels[1];
    CHECK(*panel.x.from < 0.6);
    CHECK(*panel.x.to > 0.8);
    CHECK(*panel.y.to > 0.3);
    for (const double s : panel.series.at(0).y)
        CHECK((std::isnan(s) || (s >= *panel.y.from && s <= *panel.y.to)));
}

TEST_CASE("an outline of two corners or with a corner too many is a programmer's fault") {
    GamutDiagram wrong = diagram(0.2, 0.2, 0.25);
    wrong.outline = {0, 1};
    CHECK_THROWS_AS(gamut_figure("a", standard_eye(), wrong, wrong), std::logic_error);
    wrong.outline = {0, 1, 3};
    CHECK_THROWS_AS(gamut_figure("a", standard_eye(), wrong, wrong), std::logic_error);
}
