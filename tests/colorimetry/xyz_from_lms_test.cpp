#include "colorimetry/xyz_from_lms.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <random>

#include "colorimetry/cie_tables.h"
#include "colorimetry/colour_space.h"
#include "support/error_text.h"
#include "support/published_table.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

Observer standard(double field_deg, double age_years) {
    return Observer::cie170(Degrees::from_degrees(field_deg), Years::from_years(age_years));
}

template <ColourMatching Of>
Eigen::Matrix3d matrix(const Observer& observer) {
    Eigen::Matrix3d result;
    for (int cone = 0; cone < 3; ++cone) {
        result.col(cone) =
            xyz_from_lms<Of>(Lms::from_vector(Eigen::Vector3d::Unit(cone)), observer).vector() /
            kLumensPerWatt;
    }
    return result;
}

Eigen::Matrix3d published(const char* observer) {
    const auto constants = test::published_json("macleod_boynton_and_xyz.json");
    Eigen::Matrix3d result;
    for (int i = 0; i < 9; ++i) {
        result(i / 3, i % 3) = constants[observer]["lms_to_xyz"][static_cast<std::size_t>(i / 3)]
                                        [static_cast<std::size_t>(i % 3)]
                                            .get<double>();
    }
    return result;
}

}  // namespace

TEST_CASE("XYZ from LMS by the matrices of CIE 170-2, to 1e-6") {
    CHECK((matrix<ColourMatching::cie2015_2deg>(standard(2, 32)) - published("2deg_32y"))
              .cwiseAbs()
              .maxCoeff() <= 1e-12);
    CHECK((matrix<ColourMatching::cie2015_10deg>(standard(10, 32)) - published("10deg_32y"))
              .cwiseAbs()
              .maxCoeff() <= 1e-12);
}

TEST_CASE("the rows of Y and Z of any eye follow the committee's rule, to 1e-6") {
    // CIE 170-2:2015; 4 degrees, 20 years by the method of CIE TC 1-97.
    for (const auto& [field, age, name] :
         {std::tuple{2.0, 32.0, "2deg_32y"}, std::tuple{10.0, 32.0, "10deg_32y"},
          std::tuple{4.0, 20.0, "4deg_20y"}}) {
        const Eigen::Matrix<double, 2, 3> rows = yz_from_lms(standard(field, age));
        const Eigen::Matrix<double, 2, 3> missed = rows - published(name).bottomRows<2>();
        INFO(name << " misses by " << missed);
        CHECK(missed.cwiseAbs().maxCoeff() <= 1e-6);
        // The row of X, which is not computed here, has the same equal-energy white: 0.33333, 0.33333,
        // 0.33333.
        const Eigen::Vector3d white =
            published(name) * standard(field, age).energy().colwise().sum().transpose();
        CHECK((white / white.sum() - Eigen::Vector3d::Constant(1.0 / 3.0)).cwiseAbs().maxCoeff() <= 1e-6);
    }
}

TEST_CASE("a light has the same CIE 2015 values by its excitations and by the functions") {
    // The fundamentals have 6 digits, the matrix enlarges them (see the tables' own test).
    constexpr double kSixDigits = 1e-5;
    const Spectrum lights[] = {Spectrum::blackbody(3000.0), Spectrum::equal_energy(),
                               Spectrum::from_line(470.0, 0.1), Spectrum::from_line(611.0, 0.1)};
    for (const Spectrum& light : lights) {
        const Eigen::Vector3d by_functions = tristimulus<ColourMatching::cie2015_2deg>(light).vector();
        const Eigen::Vector3d by_cones =
            xyz_from_lms<ColourMatching::cie2015_2deg>(standard(2, 32).excitations(light), standard(2, 32))
                .vector();
        CHECK((by_functions - by_cones).cwiseAbs().maxCoeff() <= kSixDigits * by_functions.maxCoeff());
        const Eigen::Vector3d by_functions_10 = tristimulus<ColourMatching::cie2015_10deg>(light).vector();
        const Eigen::Vector3d by_cones_10 =
            xyz_from_lms<ColourMatching::cie2015_10deg>(standard(10, 32).excitations(light), standard(10, 32))
                .vector();
        CHECK((by_functions_10 - by_cones_10).cwiseAbs().maxCoeff() <=
              kSixDigits * by_functions_10.maxCoeff());
    }
}

TEST_CASE("LMS to XYZ and back, negative and extreme values too") {
    std::mt19937 random(170);
    std::uniform_real_distribution<double> exponent(-30.0, 30.0);
    std::uniform_real_distribution<double> sign(-1.0, 1.0);
    const Observer observer = standard(10, 32);
    for (int trial = 0; trial < 500; ++trial) {
        Eigen::Vector3d values;
        for (double& value : values) {
            value = std::copysign(std::pow(10.0, exponent(random)), sign(random));
        }
        const auto xyz = xyz_from_lms<ColourMatching::cie2015_10deg>(Lms::from_vector(values), observer);
        CHECK((lms_from_xyz(xyz, observer).vector() - values).cwiseAbs().maxCoeff() <=
              1e-12 * values.cwiseAbs().maxCoeff());
    }
    CHECK(xyz_from_lms<ColourMatching::cie2015_10deg>(Lms{}, observer).vector() == Eigen::Vector3d::Zero());
}

TEST_CASE("there is no published XYZ for other observers, and none of what is not a number") {
    using enum ColourMatching;
    CHECK(input_error_text([] {
              xyz_from_lms<cie2015_2deg>(Lms{1, 1, 1}, standard(10, 32));
          }) ==
          "no published XYZ of 2 deg for the observer CIE 170-1:2006, field 10 deg, age 32 years (published "
          "table); "
          "choose a field of 2 deg and an age of 32 years, without deviations");
    CHECK_THAT(input_error_text([] {
                   xyz_from_lms<cie2015_2deg>(Lms{1, 1, 1}, standard(2, 33));
               }),
               Catch::Contains("no published XYZ of 2 deg"));
    CHECK_THAT(input_error_text([] {
                   lms_from_xyz(TristimulusOf<cie2015_10deg>{1, 1, 1}, standard(2, 32));
               }),
               Catch::Contains("no published XYZ of 10 deg"));
    for (const double wrong :
         {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
        CHECK_THAT(input_error_text([&] {
                       xyz_from_lms<cie2015_2deg>(Lms{1, wrong, 1}, standard(2, 32));
                   }),
                   Catch::Contains("give finite numbers"));
        CHECK_THAT(input_error_text([&] {
                       lms_from_xyz(TristimulusOf<cie2015_2deg>{1, wrong, 1}, standard(2, 32));
                   }),
                   Catch::Contains("give finite numbers"));
    }
}
