#include "analysis/figures/observer_figure.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/figures/curve_labels.h"
#include "analysis/figures/figure_layout.h"
#include "analysis/figures/gnuplot.h"
#include "support/svg_picture.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

DrawnEye standard_eye() {
    return drawn_eye(Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0)));
}

DrawnEye individual_eye(double shift_l_nm, double lens_percent, double age_years) {
    ObserverParameters parameters;
    parameters.age = Years::from_years(age_years);
    parameters.shift_l_nm = shift_l_nm;
    parameters.lens_percent = lens_percent;
    return drawn_eye(Observer(parameters));
}

// Simple forms in the place of the standard's, for the figure only.
DrawnEye with_parts(DrawnEye eye, double density) {
    DrawnParts parts;
    parts.absorbance = eye.sensitivity;
    for (const double nm : eye.wavelengths_nm) {
        parts.macular_density.push_back(density * std::exp(-std::pow((nm - 460.0) / 40.0, 2)));
        parts.ocular_density.push_back(2.0 * std::exp((390.0 - nm) / 30.0));
    }
    eye.parts = parts;
    return eye;
}

SvgPicture svg_of(const Figure& figure) {
    return SvgPicture(drawn(figure, PictureFormat::svg));
}

// The x at which a curve is highest on the page; y runs downwards.
double peak_x(const SvgSeries& series) {
    const std::vector<SvgPoint>& points = series.paths.at(0).points;
    return std::min_element(points.begin(), points.end(),
                            [](const auto& a, const auto& b) { return a.y < b.y; })
        ->x;
}

double distance_to(const SvgSeries& series, const SvgPoint& place) {
    double nearest = 1e9;
    for (const SvgPath& path : series.paths) {
        for (const SvgPoint& point : path.points)
            nearest = std::min(nearest, std::hypot(point.x - place.x, point.y - place.y));
    }
    return nearest;
}

}  // namespace

TEST_CASE("Three curves, black, of three dashes, with L, M and S beside them") {
    for (const SensitivityScale scale : {SensitivityScale::linear, SensitivityScale::log}) {
        CAPTURE(static_cast<int>(scale));
        const SvgPicture picture = svg_of(observer_figure(standard_eye(), {}, scale));
        REQUIRE(picture.series.size() == 3);
        CHECK(picture.named("L").paths.at(0).dashes.empty());
        CHECK_FALSE(picture.named("M").paths.at(0).dashes.empty());
        CHECK_FALSE(picture.named("S").paths.at(0).dashes.empty());
        CHECK(picture.named("M").paths.at(0).dashes != picture.named("S").paths.at(0).dashes);
        CHECK(picture.colours() == std::set<std::string>{"#FFFFFF", "#ffffff", "black", "rgb(0,0,0)"});
        for (const std::string cone : {"L", "M", "S"}) {
            CAPTURE(cone);
            const double to_own = distance_to(picture.named(cone), picture.text(cone).at);
            for (const SvgSeries& other : picture.series)
                CHECK((other.name == cone || distance_to(other, picture.text(cone).at) > to_own));
        }
        CHECK(picture.title() == standard_eye().description);
        CHECK(picture.text("wavelength, nm").text == "wavelength, nm");
        CHECK_THAT(picture.description(), Catch::Contains("L: solid line, peak at 570 nm. M: dashed line"));
    }
    const std::vector<std::string> linear =
        svg_of(observer_figure(standard_eye(), {}, SensitivityScale::linear)).words();
    CHECK(std::count(linear.begin(), linear.end(), "sensitivity (energy units, peak 1)") == 1);
    const Figure quantal =
        observer_figure(standard_eye(), {}, SensitivityScale::log, SensitivityUnits::quantal);
    CHECK(svg_of(quantal).text("log\u2081\u2080 sensitivity (quantal units, peak 1)").at.x > 0.0);
}

TEST_CASE("Curves of an observer are its tables, in either unit") {
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    const DrawnEye energy = drawn_eye(observer);
    const DrawnEye quantal = drawn_eye(observer, SensitivityUnits::quantal);
    for (const Eigen::Index row : {0, 100, 200}) {
        const auto i = static_cast<std::size_t>(row);
        CHECK(energy.wavelengths_nm.at(i) == 390.0 + static_cast<double>(row));
        for (const Eigen::Index cone : {0, 1, 2}) {
            CHECK(energy.sensitivity.at(static_cast<std::size_t>(cone)).at(i) ==
                  observer.energy()(row, cone));
            CHECK(quantal.sensitivity.at(static_cast<std::size_t>(cone)).at(i) ==
                  observer.quantal()(row, cone));
        }
    }
    // CIE 170-1:2006: macular pigment has 0.35 at 460 nm, the lens 1.7649 at 400 nm.
    CHECK(energy.parts->macular_density.at(460 - 390) == Approx(0.35).epsilon(1e-3));
    CHECK(energy.parts->ocular_density.at(400 - 390) == Approx(1.7649).epsilon(1e-4));
    CHECK(energy.parts->absorbance.at(0).size() == energy.wavelengths_nm.size());
}

TEST_CASE("Five decades of the logarithm, with S open where it is zero") {
    const Figure figure = observer_figure(standard_eye(), {}, SensitivityScale::log);
    const Panel& panel = figure.rows.at(0).panels.at(0);
    CHECK(*panel.y.from == -5.0);
    CHECK(*panel.y.to > 0.0);
    const Series& s = panel.series.at(2);
    const DrawnEye eye = standard_eye();
    for (std::size_t i = 0; i < s.x.size(); ++i) {
        if (eye.sensitivity[2][i] > 0.0)
            CHECK(s.y[i] == std::log10(eye.sensitivity[2][i]));
        else
            CHECK(std::isnan(s.y[i]));
    }
    // CIE 170-1:2006 gives no value of S beyond 615 nm.
    CHECK(std::isnan(s.y.at(616 - 390)));
    CHECK_FALSE(std::isnan(s.y.at(615 - 390)));
}

TEST_CASE("The curves' peaks stand where the standard has them") {
    // CIE 170-1:2006, 2 degrees, energy: the largest 1 nm samples are those of 570, 543 and 442 nm.
    const SvgPicture picture = svg_of(observer_figure(standard_eye(), {}, SensitivityScale::linear));
    const double x_500 = picture.text("500").at.x;
    const double nm_per_pixel = 200.0 / (picture.text("700").at.x - x_500);
    CHECK(500.0 + (peak_x(picture.named("L")) - x_500) * nm_per_pixel == Approx(570.0).margin(1.0));
    CHECK(500.0 + (peak_x(picture.named("M")) - x_500) * nm_per_pixel == Approx(543.0).margin(1.0));
    CHECK(500.0 + (peak_x(picture.named("S")) - x_500) * nm_per_pixel == Approx(442.0).margin(1.0));
}

TEST_CASE("A second eye is thin and grey and named in a legend") {
    const DrawnEye eye = individual_eye(4.0, 25.0, 70.0);
    const SvgPicture picture = svg_of(observer_figure(eye, standard_eye(), SensitivityScale::linear));
    CHECK(picture.series.size() == 6);
    CHECK(picture.colours().count("rgb(128,128,128)") == 1);
    const std::vector<std::string> words = picture.words();
    for (const std::string cone : {"L", "M", "S"}) {
        CHECK(std::count(words.begin(), words.end(), cone) == 2);
        CHECK(picture.named(cone + ", second eye").paths.size() == 1);
    }
    CHECK(std::count(words.begin(), words.end(), standard_eye().description) == 1);
}

TEST_CASE("Stacked: pigments, macular pigment, ocular media and fundamentals over one wavelength axis") {
    const SvgPicture picture = svg_of(observer_figure(
        with_parts(standard_eye(), 0.35), with_parts(standard_eye(), 0.2), SensitivityScale::stacked));
    CHECK(picture.series.size() == 16);
    const std::vector<std::string> words = picture.words();
    for (const std::string title : {"photopigments", "macular pigment", "lens and other ocular media"})
        CHECK(std::count(words.begin(), words.end(), title) == 1);
    CHECK(std::count(words.begin(), words.end(), "wavelength, nm") == 1);
    CHECK(std::count(words.begin(), words.end(), "600") == 1);
    CHECK(picture.named("macular pigment").paths.at(0).points.front().x ==
          Approx(picture.named("S").paths.at(0).points.front().x).margin(1.0));
    DrawnEye bare = standard_eye();
    bare.parts.reset();
    CHECK_THROWS_AS(observer_figure(bare, {}, SensitivityScale::stacked), std::logic_error);
}

TEST_CASE("A cone that an eye lacks is not drawn") {
    DrawnEye eye = standard_eye();
    eye.sensitivity[1].clear();
    std::fill(eye.sensitivity[2].begin(), eye.sensitivity[2].end(), 0.0);
    const Figure figure = observer_figure(eye, {}, SensitivityScale::log);
    const SvgPicture picture = svg_of(figure);
    REQUIRE(picture.series.size() == 1);
    CHECK(picture.series[0].name == "L");
    CHECK_THAT(figure.description, Catch::Contains("M: none. S: none."));
}

// Labels of 1.9 by 2.6 mm (a letter of 10 points) must not touch each other or stand on any curve's peak.
TEST_CASE("Labels stand clear of each other for many pairs of eyes") {
    constexpr double kLetterMm = 2.9;
    for (const SensitivityScale scale :
         {SensitivityScale::linear, SensitivityScale::log, SensitivityScale::stacked}) {
        for (const double shift_nm : {-6.0, -1.0, 0.0, 0.5, 4.0}) {
            for (const double age : {20.0, 45.0, 80.0}) {
                CAPTURE(static_cast<int>(scale), shift_nm, age);
                const Figure figure =
                    observer_figure(with_parts(individual_eye(shift_nm, shift_nm * 5.0, age), 0.3),
                                    with_parts(standard_eye(), 0.35), scale);
                const Row& row = figure.rows.back();
                const Area area = layout_of(figure).plots.back().at(0);
                const std::vector<Label> labels = curve_labels(row.panels.at(0), area);
                REQUIRE(labels.size() == 6);
                for (std::size_t i = 0; i < labels.size(); ++i) {
                    CHECK(labels[i].dx_mm > 1.0);
                    CHECK(labels[i].dx_mm < area.width_mm - 1.0);
                    CHECK(labels[i].dy_mm < area.height_mm);
                    for (std::size_t k = 0; k < i; ++k)
                        CHECK(std::hypot(labels[i].dx_mm - labels[k].dx_mm,
                                         labels[i].dy_mm - labels[k].dy_mm) > kLetterMm);
                }
            }
        }
    }
}
