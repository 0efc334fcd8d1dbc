// A standard table is tested row by row against a second copy, for smoothness, and against the other tables
// of its standard that follow from it.

#include "colorimetry/cie_tables.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "support/published_table.h"

using namespace isoseam;
using isoseam::test::published_json;
using isoseam::test::published_table;
using isoseam::test::PublishedRows;

namespace {

void check_rows(const Eigen::MatrixXd& table, const PublishedRows& copy, int first_nm) {
    REQUIRE(table.rows() == static_cast<Eigen::Index>(copy.size()));
    for (Eigen::Index row = 0; row < table.rows(); ++row) {
        const auto& expected = copy[static_cast<std::size_t>(row)];
        INFO(first_nm + row << " nm");
        REQUIRE(static_cast<Eigen::Index>(expected.size()) == table.cols() + 1);
        CHECK(expected[0] == static_cast<double>(first_nm + row));
        for (Eigen::Index column = 0; column < table.cols(); ++column) {
            const double value = expected[static_cast<std::size_t>(column) + 1];
            CHECK((table(row, column) == value || (std::isnan(table(row, column)) && std::isnan(value))));
        }
    }
}

// How far a value lies from the cubic through its four neighbours, as a part of the largest value of the
// column; the largest of a range of rows.
double roughness(const Eigen::VectorXd& column, Eigen::Index first, Eigen::Index last) {
    double largest = 0.0;
    for (Eigen::Index i = first + 2; i <= last - 2; ++i) {
        const double smooth = (4.0 * (column[i - 1] + column[i + 1]) - column[i - 2] - column[i + 2]) / 6.0;
        largest = std::max(largest, std::abs(column[i] - smooth));
    }
    return largest / column.segment(first, last - first + 1).cwiseAbs().maxCoeff();
}

}  // namespace

TEST_CASE("each table equals its second copy, row by row") {
    check_rows(cie170_cone_fundamentals_2deg(), published_table("cone_fundamentals_energy_2deg_32y.csv"),
               390);
    check_rows(cie170_cone_fundamentals_10deg(), published_table("cone_fundamentals_energy_10deg_32y.csv"),
               390);
    using enum ColourMatching;
    for (const auto& [observer, file, first_nm] : {std::tuple{cie1931_2deg, "cie1931_xyz_2deg.csv", 360},
                                                   std::tuple{cie1964_10deg, "cie1964_xyz_10deg.csv", 360},
                                                   std::tuple{cie2015_2deg, "cie2015_xyz_2deg.csv", 390},
                                                   std::tuple{cie2015_10deg, "cie2015_xyz_10deg.csv", 390}}) {
        INFO(file);
        const ColourMatchingTable table = colour_matching_table(observer);
        CHECK(table.first_nm == first_nm);
        check_rows(table.functions, published_table(file), first_nm);
    }
    check_rows(cie1951_scotopic_luminous_efficiency(), published_table("cie1951_scotopic.csv"),
               kCie1951FirstNm);
    const ObserverComponents& parts = cie170_components();
    Eigen::MatrixXd components(parts.log10_absorbance.rows(), 6);
    components << parts.log10_absorbance, parts.ocular_density_32y, parts.ocular_density_ageless,
        parts.macular_density_2deg;
    check_rows(components, published_table("cie170_components.csv"), 390);
}

TEST_CASE("the CIE's own XYZ functions follow from the cone fundamentals, row by row") {
    // CIE 170-2:2015: XYZ = M LMS; the fundamentals have 6 digits, which the matrix enlarges to a few 1e-6.
    constexpr double kSixDigits = 3e-6;
    const auto constants = published_json("macleod_boynton_and_xyz.json");
    for (const auto& [observer, file, table] :
         {std::tuple{"2deg_32y", "cie2015_xyz_2deg.csv", cie170_cone_fundamentals_2deg()},
          std::tuple{"10deg_32y", "cie2015_xyz_10deg.csv", cie170_cone_fundamentals_10deg()}}) {
        Eigen::Matrix3d xyz_from_lms;
        for (int i = 0; i < 9; ++i) {
            xyz_from_lms(i / 3, i % 3) = constants[observer]["lms_to_xyz"][static_cast<std::size_t>(i / 3)]
                                                  [static_cast<std::size_t>(i % 3)];
        }
        const PublishedRows xyz = published_table(file);
        for (Eigen::Index row = 0; row < table.rows(); ++row) {
            const Eigen::Vector3d computed = xyz_from_lms * table.row(row).transpose();
            for (Eigen::Index i = 0; i < 3; ++i) {
                const double published = xyz[static_cast<std::size_t>(row)][static_cast<std::size_t>(i) + 1];
                INFO(observer << ", " << 390 + row << " nm, missed by " << computed[i] - published);
                CHECK(std::abs(computed[i] - published) <= kSixDigits);
            }
        }
    }
}

TEST_CASE(
    "the sums of a standard observer's functions are equal, as for an equal-energy white of x = y = 1/3") {
    // CIE 015:2018 normalises them so. From memory, the sums at 1 nm of CIE 1931 and of CIE 1964.
    constexpr double kSixDecimals = 1e-6;
    const auto check = [&](ColourMatching observer, const Eigen::RowVector3d& expected) {
        const Eigen::RowVector3d sums = colour_matching_table(observer).functions.colwise().sum();
        INFO(sums);
        CHECK((sums - expected).cwiseAbs().maxCoeff() <= kSixDecimals);
    };
    check(ColourMatching::cie1931_2deg, {106.865469, 106.856917, 106.892251});
    check(ColourMatching::cie1964_10deg, {116.648519, 116.661877, 116.673980});
    // CIE 170-2:2015: the white is 0.33333, 0.33333, 0.33333 (macleod_boynton_and_xyz.json).
    for (const ColourMatching observer : {ColourMatching::cie2015_2deg, ColourMatching::cie2015_10deg}) {
        const Eigen::RowVector3d sums = colour_matching_table(observer).functions.colwise().sum();
        CHECK((sums / sums.sum() - Eigen::RowVector3d::Constant(1.0 / 3.0)).cwiseAbs().maxCoeff() <= 5e-7);
    }
}

TEST_CASE("rods peak at 507 nm, and meet cones at 555 nm") {
    // CIE 1951. 1700 lm/W at 507 nm and 683 lm/W at 555 nm are one definition of the candela (from memory:
    // 1700.06).
    const Eigen::VectorXd& rods = cie1951_scotopic_luminous_efficiency();
    CHECK(rods[507 - kCie1951FirstNm] == 1.0);
    CHECK(rods.maxCoeff() == 1.0);
    CHECK(rods[555 - kCie1951FirstNm] * 1700.06 == Approx(683.0).epsilon(1e-3));
}

TEST_CASE("the components of daylight (from memory) give the table of D65 (from memory), row by row") {
    // ISO/CIE 11664-2: D65 at 10 nm, 6 digits. The multipliers of the CIE's formula for 6504 K, to 3
    // decimals.
    constexpr double kSixDigits = 6e-4;
    const auto published = published_table("cie_d65.csv");
    const Eigen::MatrixX3d& components = cie_daylight_components();
    REQUIRE(published.size() == static_cast<std::size_t>(components.rows()));
    for (std::size_t row = 0; row < published.size(); ++row) {
        CHECK(published[row][0] == kDaylightFirstNm + static_cast<int>(row) * kDaylightStepNm);
        const double modelled =
            components.row(static_cast<Eigen::Index>(row)).dot(Eigen::RowVector3d{1.0, -0.295, -0.689});
        INFO(published[row][0] << " nm, missed by " << modelled - published[row][1]);
        CHECK(std::abs(modelled - published[row][1]) <= kSixDigits);
    }
    // By definition, 100, 0 and 0 at 560 nm. (Daylight itself is not smooth: the sun's and the air's lines
    // are in it.)
    CHECK(components.row((560 - kDaylightFirstNm) / kDaylightStepNm) == Eigen::RowVector3d(100.0, 0.0, 0.0));
}

TEST_CASE("the tables are smooth, and a wrong digit would show") {
    // A little above what the right tables have, column by column: they were interpolated piecewise from 5
    // nm.
    const auto check = [](const SensitivityTable& table, const Eigen::Vector3d& limits) {
        for (Eigen::Index column = 0; column < 3; ++column) {
            const double found = roughness(table.col(column), 0, table.rows() - 1);
            INFO("column " << column << ": " << found);
            CHECK(found <= limits[column]);
        }
    };
    check(cie170_cone_fundamentals_2deg(), {1e-4, 9e-5, 3e-4});
    check(cie170_cone_fundamentals_10deg(), {1.1e-4, 1e-4, 3.2e-4});
    check(cie1931_colour_matching_functions(), {7e-5, 4e-5, 2e-4});
    check(colour_matching_table(ColourMatching::cie1964_10deg).functions, {8e-5, 2.3e-4, 1.8e-4});
    check(colour_matching_table(ColourMatching::cie2015_2deg).functions, {1.1e-4, 9e-5, 3e-4});
    check(colour_matching_table(ColourMatching::cie2015_10deg).functions, {1.3e-4, 1e-4, 3.2e-4});
    CHECK(roughness(cie1951_scotopic_luminous_efficiency(), 0, 400) <=
          1.05e-3);  // it has 3 decimals near the peak
    const ObserverComponents& parts = cie170_components();
    CHECK(roughness(parts.log10_absorbance.col(0), 0, 440) <= 2e-5);
    CHECK(roughness(parts.log10_absorbance.col(1), 0, 440) <= 2e-5);
    CHECK(roughness(parts.log10_absorbance.col(2), 0, 225) <= 2e-5);
    CHECK(roughness(parts.ocular_density_32y, 0, 440) <= 4e-5);
    CHECK(roughness(parts.ocular_density_ageless, 0, 440) <= 1.4e-4);
    CHECK(roughness(parts.macular_density_2deg, 0, 440) <= 1.5e-4);

    // The third and the fourth decimal of y at 547 nm swapped.
    Eigen::VectorXd luminance = cie1931_colour_matching_functions().col(1);
    const Eigen::Index row = 547 - kCie1931FirstNm;
    const double value = luminance[row];
    const double third = std::fmod(std::floor(value * 1e3), 10.0);
    const double fourth = std::fmod(std::floor(value * 1e4), 10.0);
    INFO(value);
    REQUIRE(third != fourth);
    luminance[row] += (fourth - third) * 1e-3 + (third - fourth) * 1e-4;
    CHECK(roughness(luminance, 0, luminance.size() - 1) > 1e-4);
}
