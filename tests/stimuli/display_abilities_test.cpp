#include "stimuli/display_abilities.h"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>

#include "colorimetry/pooled_cardinal_contrast.h"
#include "support/invented_display.h"
#include "support/tolerances.h"

using namespace isoseam;
using nlohmann::json;

namespace {

const std::string kPublished = std::string(ISOSEAM_SOURCE_DIR) + "/tests/published/";
// The observer is the published table, the figures come from a model of it (see drive_solution_test.cpp).
constexpr double kTableAgainstModel = 1e-5;
constexpr double kRounding = 1e-12;

Observer standard_eye() {
    return Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
}

json published_figures(const std::string& variant) {
    std::ifstream file(kPublished + "O2_display_drive_and_gamut.json");
    const json figures = json::parse(file);
    for (const json& configuration : figures.at("configurations")) {
        if (configuration.at("variant") == variant)
            return configuration;
    }
    FAIL("no variant " << variant);
    return {};
}

DriveSolver published_display(const std::string& variant) {
    return DriveSolver(DisplayModel(read_calibration(kPublished + "O2_display_" + variant + ".yaml")),
                       standard_eye());
}

}  // namespace

// tests/published/O2_display_drive_and_gamut.json: largest contrasts by an independent model, those of L
// against M at constant luminance included.
TEST_CASE("the largest contrasts of the published display are its oracle's") {
    const std::string variant = GENERATE("total", "additive");
    const DriveSolver solver = published_display(variant);
    const Lms background = solver.lms(LinearDrive{Eigen::Vector3d::Constant(0.5)});
    const json expected = published_figures(variant).at("observers").at(0).at("max_contrast");
    const std::map<std::string, std::string> names{{"+L", "plus_L"},
                                                   {"-L", "minus_L"},
                                                   {"+M", "plus_M"},
                                                   {"-M", "minus_M"},
                                                   {"+S", "plus_S"},
                                                   {"-S", "minus_S"},
                                                   {"+L+M+S", "luminance_up"},
                                                   {"-L+M+S", "luminance_down"},
                                                   {"+L-M", "L_minus_M_isoluminant"},
                                                   {"-L-M", "M_minus_L_isoluminant"}};
    const std::vector<LargestContrast> largest = largest_contrasts(solver, background);
    REQUIRE(largest.size() == names.size());
    for (const LargestContrast& one : largest) {
        const std::string name = names.at((one.sign > 0 ? "+" : "-") + one.direction);
        CAPTURE(name);
        for (std::size_t cone = 0; cone < 3; ++cone) {
            CHECK(one.contrast.vector()[static_cast<Eigen::Index>(cone)] ==
                  Approx(expected.at(name).at("contrast_LMS").at(cone).get<double>())
                      .epsilon(2.0 * kTableAgainstModel)
                      .margin(1e-9));
        }
    }
}

TEST_CASE("the largest contrasts end on the border of the gamut, and go one way only") {
    const DriveSolver solver(test::invented_display({630.0, 560.0, 510.0, 450.0}), standard_eye());
    const DriveSolution grey = grey_of_white(solver, 0.25);
    REQUIRE(grey.in_gamut);
    const Lms background = solver.lms(grey.linear);
    for (const LargestContrast& one : largest_contrasts(solver, background)) {
        CAPTURE(one.direction, one.sign);
        const DriveSolution end = solver.solve(lms_from_cone_contrast(one.contrast, background));
        CHECK(end.gamut_margin == Approx(0.0).margin(1e-10));
        const PooledCardinalContrast pooled =
            pooled_cardinal_contrast(one.contrast, background, solver.observer());
        if (one.direction == "L-M") {
            CHECK(pooled.l_minus_m * one.sign == Approx(one.contrast.length()).epsilon(test::kFiveDigits));
            CHECK(pooled.luminance == Approx(0.0).margin(kRounding));
        }
        if (one.direction == "L+M+S")
            CHECK(pooled.luminance * one.sign == Approx(one.contrast.length()).epsilon(test::kFiveDigits));
    }
}

// The corners from the oracle's XYZ by CIE 015's formula, written out here once more; the area by its
// determinant.
TEST_CASE("gamut in u', v' from the published display's tristimulus values") {
    const DriveSolver solver = published_display("total");
    const json rows = published_figures("total").at("XYZ_matrix_columns_are_primaries (x683)");
    const DisplayGamut gamut = display_gamut(solver);
    Eigen::Matrix3d corners = Eigen::Matrix3d::Ones();
    for (int i = 0; i < 3; ++i) {
        const auto value = [&](int row) { return rows.at(row).at(i).get<double>(); };
        const double sum = value(0) + 15.0 * value(1) + 3.0 * value(2);
        corners(0, i) = 4.0 * value(0) / sum;
        corners(1, i) = 9.0 * value(1) / sum;
        const DiagramPoint& primary = gamut.primaries.at(static_cast<std::size_t>(i));
        CHECK(primary.uniform->u_prime == Approx(corners(0, i)).epsilon(1e-9));
        CHECK(primary.uniform->v_prime == Approx(corners(1, i)).epsilon(1e-9));
        CHECK(primary.macleod_boynton->l ==
              Approx(macleod_boynton_from_lms(Lms::from_vector(solver.lms_from_linear().col(i)),
                                              solver.observer())
                         .l)
                  .epsilon(test::kFiveDigits));
    }
    CHECK(gamut.uv_prime_area == Approx(0.5 * std::abs(corners.determinant())).epsilon(1e-9));
    CHECK(gamut.white.name == "white");
    CHECK(gamut.white.uniform->luminance_cd_m2 == Approx(120.0).epsilon(test::kFiveDigits));
    CHECK(gamut.black.uniform->luminance_cd_m2 == Approx(0.15).epsilon(test::kFiveDigits));
}

TEST_CASE("a screen without light at drive 0 has no black in the diagrams") {
    Calibration calibration = test::invented_calibration({620.0, 535.0, 455.0});
    calibration.black = calibration.black.scaled(0.0);
    const DisplayGamut gamut = display_gamut(DriveSolver(DisplayModel(calibration), standard_eye()));
    CHECK_FALSE(gamut.black.uniform);
    CHECK_FALSE(gamut.black.macleod_boynton);
}

TEST_CASE("the outline leaves inner points and points on a side out") {
    const std::vector<Eigen::Vector2d> points{{0, 0}, {1, 1}, {2, 0}, {1, 0}, {2, 2}, {0, 2}, {0.5, 1.7}};
    const std::vector<std::size_t> outline = convex_outline(points);
    CHECK(outline == std::vector<std::size_t>{0, 2, 4, 5});
    CHECK(polygon_area(points, outline) == Approx(4.0).epsilon(test::kRoundingOfDoubles));
    CHECK(polygon_area(points, convex_outline({{0, 0}, {1, 1}, {2, 2}})) == 0.0);
}

TEST_CASE("grey has white's chromaticity at the share of its luminance") {
    const DriveSolver solver = published_display("total");
    const DriveSolution grey = grey_of_white(solver, 0.25);
    REQUIRE(grey.in_gamut);
    const DisplayModel& display = solver.display();
    const Xyz white = display.xyz(LinearDrive{Eigen::Vector3d::Ones()});
    CHECK((display.xyz(grey.linear).vector() - 0.25 * white.vector()).norm() <= 1e-9 * white.y);
}

TEST_CASE("one code moves a cone by the steepest primary's part") {
    // light = drive ^ 2, so one code from c of n is (2 c + 1) / n^2 of a primary.
    const DriveSolver solver(test::invented_display({620.0, 535.0, 455.0}, 2.0), standard_eye());
    const double code = 100.0 / 255.0;
    const LinearDrive background{Eigen::Vector3d::Constant(code * code)};
    const Eigen::Vector3d lms = solver.lms(background).vector();
    const ConeContrast step = step_of_one_code(solver, background, 8);
    const double of_a_primary = 201.0 / (255.0 * 255.0);
    for (Eigen::Index cone = 0; cone < 3; ++cone) {
        const double steepest = solver.lms_from_linear().row(cone).maxCoeff();
        CHECK(step.vector()[cone] == Approx(of_a_primary * steepest / lms[cone]).epsilon(1e-12));
    }
    // 16 times as many codes, steps a 16th as large, up to the curvature within a code.
    const ConeContrast finer = step_of_one_code(solver, background, 12);
    CHECK(step.l / finer.l == Approx(4095.0 / 255.0).epsilon(0.01));
    // At full drive the only neighbour lies below.
    const ConeContrast at_full = step_of_one_code(solver, LinearDrive{Eigen::Vector3d::Ones()}, 8);
    CHECK(at_full.l > 0.0);
}

TEST_CASE("dither makes the smallest step a 64th of a code's") {
    const DriveSolver solver(test::invented_display(), standard_eye());
    const LinearDrive background{Eigen::Vector3d::Constant(0.3)};
    for (const int bits : {8, 10}) {
        const Eigen::Vector3d code = step_of_one_code(solver, background, bits).vector();
        CHECK(smallest_step(solver, background, bits, DitherKind::none).vector() == code);
        for (const DitherKind dither : {DitherKind::noise, DitherKind::ordered})
            CHECK((64.0 * smallest_step(solver, background, bits, dither).vector() - code).norm() <= 1e-15);
    }
}
