#include "calibration/display_model.h"

#include <Eigen/LU>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>

using namespace isoseam;

namespace {

const std::string kRoot = ISOSEAM_SOURCE_DIR;

// Sums of some hundred products in doubles, in another order than the oracle's.
constexpr double kRounding = 1e-9;
// The oracle computes the fundamentals that we take from the published table (tests/published: README of the
// oracles).
constexpr double kModelAgainstTable = 1e-5;

DisplayModel model_of(const std::string& file) {
    return DisplayModel(read_calibration(kRoot + file));
}
DisplayModel demo_lcd() {
    return model_of("/calibration/demo/demo_lcd.yaml");
}
DisplayModel demo_narrow_band() {
    return model_of("/calibration/demo/demo_narrow_band.yaml");
}

Observer standard_observer() {
    return Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
}

void check_close(double value, double expected, double relative) {
    CAPTURE(value, expected, value / expected - 1.0);
    CHECK(std::abs(value - expected) <= relative * std::abs(expected));
}

void check_close(const Eigen::Vector3d& value, const nlohmann::json& expected, double relative) {
    for (int i = 0; i < 3; ++i)
        check_close(value[i], expected[static_cast<std::size_t>(i)].get<double>(), relative);
}

void check_close(const Eigen::Matrix3Xd& value, const nlohmann::json& rows, double relative) {
    REQUIRE(value.cols() == 3);
    for (int row = 0; row < 3; ++row)
        check_close(Eigen::Vector3d(value.row(row).transpose()), rows[static_cast<std::size_t>(row)],
                    relative);
}

LinearDrive all_at(int count, double fraction) {
    return {Eigen::VectorXd::Constant(count, fraction)};
}

// A screen with `count` bands of 30 nm from 420 to 680 nm; the black is a grey haze.
Calibration many_bands(int count) {
    std::vector<double> grid(201);
    for (std::size_t i = 0; i < grid.size(); ++i)
        grid[i] = 380.0 + 2.0 * static_cast<double>(i);
    Calibration calibration;
    calibration.black = Spectrum::from_radiance_w_sr_m2_nm(grid, std::vector<double>(grid.size(), 1e-6));
    for (int i = 0; i < count; ++i) {
        const double centre_nm = 420.0 + 260.0 * i / (count - 1);
        std::vector<double> values(grid.size());
        std::transform(grid.begin(), grid.end(), values.begin(), [&](double nm) {
            return 1e-3 * std::exp(-0.5 * std::pow((nm - centre_nm) / 13.0, 2));
        });
        calibration.primaries.push_back({std::to_string(i), Spectrum::from_radiance_w_sr_m2_nm(grid, values),
                                         ToneResponse::power(1.8 + 0.05 * i)});
    }
    return calibration;
}

}  // namespace

// Oracle O2: tests/published/O2_display_drive_and_gamut.json, computed by an independent program; the
// display's primaries are those of Fairchild & Wyble 1998.
TEST_CASE("oracle O2: matrices, black, background and luminances of a display") {
    std::ifstream file(kRoot + "/tests/published/O2_display_drive_and_gamut.json");
    const nlohmann::json oracle = nlohmann::json::parse(file);
    ObserverParameters computed;
    computed.lens_percent = 1e-11;  // enough that the table is not used, too little to see
    for (const auto& expected : oracle["configurations"]) {
        const std::string variant = expected["variant"];
        CAPTURE(variant);
        const DisplayModel display = model_of("/tests/published/O2_display_" + variant + ".yaml");
        check_close(display.xyz_from_linear(), expected["XYZ_matrix_columns_are_primaries (x683)"],
                    kRounding);
        check_close(display.black_xyz().vector(), expected["XYZ_black (x683)"], kRounding);
        check_close(Eigen::Vector3d(display.xyz_from_linear().row(1).transpose()),
                    expected["primary_luminance_cd_m2"], kRounding);
        check_close(display.xyz(all_at(3, 1.0)).y, expected["luminance_full_white_cd_m2"], kRounding);
        const LinearDrive half = all_at(3, 0.5);
        const XyY background = xyy_from_xyz(display.xyz(half));
        check_close(background.luminance_cd_m2, expected["background_luminance_cd_m2"], kRounding);
        check_close(background.chromaticity.x, expected["background_xy"][0], kRounding);
        check_close(background.chromaticity.y, expected["background_xy"][1], kRounding);
        check_close(Eigen::Vector3d(display.drive_from_linear(half).fractions),
                    expected["background_drive_RGB"], kRounding);

        const nlohmann::json& lms = expected["observers"][0];
        for (const auto& [observer, tolerance] :
             {std::pair(standard_observer(), kModelAgainstTable), std::pair(Observer(computed), kRounding)}) {
            CAPTURE(observer.description());
            check_close(display.lms_from_linear(observer),
                        lms["LMS_matrix_columns_are_primaries (W m-2 sr-1)"], tolerance);
            check_close(display.black_lms(observer).vector(), lms["LMS_black"], tolerance);
            check_close(display.lms(half, observer).vector(), lms["LMS_background"], tolerance);
        }
    }
}

TEST_CASE("for 3 to 16 primaries, light adds up and drives are found again") {
    const Observer observer = standard_observer();
    for (int count = 3; count <= 16; ++count) {
        CAPTURE(count);
        const DisplayModel display(many_bands(count));
        REQUIRE(display.primary_count() == count);
        LinearDrive linear{Eigen::VectorXd(count)};
        for (int i = 0; i < count; ++i)
            linear.fractions[i] = (i + 0.5) / count;
        const LinearDrive again = display.linear_from_drive(display.drive_from_linear(linear));
        CHECK((again.fractions - linear.fractions).cwiseAbs().maxCoeff() <= 1e-12);

        // Excitations of the sum of the spectra, against the sum of the excitations.
        linear.fractions[0] = -0.25;
        linear.fractions[count - 1] = 1.5;
        const Spectrum spectrum = display.spectrum(linear);
        const Eigen::Vector3d lms = display.lms(linear, observer).vector();
        CHECK((observer.excitations(spectrum).vector() - lms).norm() <= 1e-12 * lms.norm());
        const Eigen::Vector3d xyz = display.xyz(linear).vector();
        CHECK((tristimulus(spectrum).vector() - xyz).norm() <= 1e-12 * xyz.norm());
        CHECK(display.condition_number(observer) < 100.0);
    }
}

TEST_CASE("with all primaries off a screen still shows its black") {
    const DisplayModel display = demo_lcd();
    CHECK(display.spectrum(all_at(3, 0.0)).values() == display.calibration().black.values());
    CHECK(display.xyz(all_at(3, 0.0)).y == Approx(0.16).epsilon(1e-5));
    CHECK(display.lms(all_at(3, 0.0), standard_observer()).l > 0.0);
}

TEST_CASE("the condition number tells dependent primaries, and the best three count") {
    const Observer observer = standard_observer();
    CHECK(demo_lcd().condition_number(observer) < 30.0);
    CHECK(demo_narrow_band().condition_number(observer) < 30.0);
    Calibration calibration = demo_lcd().calibration();
    const double before = DisplayModel(calibration).condition_number(observer);
    calibration.primaries.push_back(calibration.primaries[0]);  // a fourth that adds nothing
    CHECK(DisplayModel(calibration).condition_number(observer) == Approx(before).epsilon(1e-12));
    calibration.primaries.pop_back();
    calibration.primaries[1].spectrum = calibration.primaries[0].spectrum.scaled(3.0);
    CHECK(DisplayModel(calibration).condition_number(observer) == std::numeric_limits<double>::infinity());
}

TEST_CASE("shared primaries are told by the shape of their spectra, not by size, order or tone") {
    const DisplayModel lcd = demo_lcd();
    CHECK(share_primaries(lcd, lcd));
    CHECK_FALSE(share_primaries(lcd, demo_narrow_band()));
    Calibration other = lcd.calibration();
    std::swap(other.primaries[0], other.primaries[2]);
    for (Primary& primary : other.primaries) {
        primary.spectrum = primary.spectrum.scaled(0.3);
        primary.tone = ToneResponse::power(1.0);
    }
    CHECK(share_primaries(lcd, DisplayModel(other)));
    other.primaries.push_back(
        {"fourth", demo_narrow_band().calibration().primaries[0].spectrum, ToneResponse::power(1.0)});
    CHECK_FALSE(share_primaries(lcd, DisplayModel(other)));
    CHECK_FALSE(share_primaries(DisplayModel(other), lcd));
}

TEST_CASE("the difference in shape is the relative size of what no factor can mend") {
    // A triangle and a part of it at right angles: f = (0, 1, 0), g = (1, 0, -1) on 500, 510, 520 nm are
    // orthogonal, with integrals of squares 20/3 both, so f + 0.02 g differs from f by the sine of
    // atan(0.02).
    const Spectrum f = Spectrum::from_signed_w_sr_m2_nm({500, 510, 520}, {0.0, 1.0, 0.0});
    const Spectrum g = Spectrum::from_signed_w_sr_m2_nm({500, 510, 520}, {1.0, 0.0, -1.0});
    CHECK(shape_difference(f, f + g.scaled(0.02)) == Approx(std::sin(std::atan(0.02))).epsilon(1e-9));
    CHECK(shape_difference(f, f.scaled(7.0)) < 1e-7);
    // Against a constant on a coarser grid the cosine is 10 / sqrt(20/3 * 20), so the sine is 1/2.
    const Spectrum constant = Spectrum::from_radiance_w_sr_m2_nm({500, 520}, {3.0, 3.0});
    CHECK(shape_difference(f, constant) == Approx(0.5).epsilon(1e-12));
    const Spectrum far_away = Spectrum::from_radiance_w_sr_m2_nm({600, 610}, {1.0, 1.0});
    CHECK(shape_difference(f, far_away) == 1.0);
    CHECK(shape_difference(far_away, f) == 1.0);
}

TEST_CASE("the two demo screens differ, and both show a grey of 30 cd/m2 with room around it") {
    const double white[] = {120.0, 110.0};
    const double black[] = {0.16, 0.12};
    int index = 0;
    for (const DisplayModel& display : {demo_lcd(), demo_narrow_band()}) {
        CHECK(display.calibration().invented);
        CHECK(display.calibration().valid_until == Day{2099, 12, 31});
        CHECK(display.xyz(all_at(3, 1.0)).y == Approx(white[index]).epsilon(1e-5));
        CHECK(display.black_xyz().y == Approx(black[index]).epsilon(1e-5));
        const Xyz grey = xyz_from_xyy({{0.3127, 0.3290}, 30.0});
        const Eigen::Matrix3d matrix = display.xyz_from_linear();
        const Eigen::Vector3d linear = matrix.inverse() * (grey.vector() - display.black_xyz().vector());
        CHECK(linear.minCoeff() > 0.2);
        CHECK(linear.maxCoeff() < 0.4);
        ++index;
    }
}

TEST_CASE("drives of the wrong number or out of range are a broken invariant") {
    const DisplayModel display = demo_lcd();
    CHECK_THROWS_AS(display.spectrum(all_at(2, 0.5)), std::logic_error);
    CHECK_THROWS_AS(display.xyz(all_at(4, 0.5)), std::logic_error);
    CHECK_THROWS_AS(display.lms(all_at(4, 0.5), standard_observer()), std::logic_error);
    CHECK_THROWS_AS(display.linear_from_drive({Eigen::VectorXd::Constant(4, 0.5)}), std::logic_error);
    CHECK_THROWS_AS(display.linear_from_drive({Eigen::VectorXd::Constant(3, 1.01)}), std::logic_error);
    CHECK_THROWS_AS(display.drive_from_linear(all_at(3, -0.01)), std::logic_error);
    CHECK_THROWS_AS(DisplayModel(many_bands(2)), std::logic_error);
    CHECK_THROWS_AS(DisplayModel(many_bands(17)), std::logic_error);
}
