// A standard table is tested row by row against a second copy, for smoothness, and against the other tables
// of its standard that follow from it.

#include "colorimetry/cie_tables.h"

#include <catch2/catch.hpp>
#include <cmath>

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
    check_rows(cie1931_colour_matching_functions(), published_table("cie1931_xyz_2deg.csv"), kCie1931FirstNm);
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

TEST_CASE("the sums of the CIE 1931 functions are equal, as for an equal-energy white of x = y = 1/3") {
    // CIE 015:2018 normalises them so; from memory, the sums at 1 nm are 106.865469, 106.856917, 106.892251.
    const Eigen::RowVector3d sums = cie1931_colour_matching_functions().colwise().sum();
    constexpr double kSixDecimals = 1e-6;
    CHECK(std::abs(sums[0] - 106.865469) <= kSixDecimals);
    CHECK(std::abs(sums[1] - 106.856917) <= kSixDecimals);
    CHECK(std::abs(sums[2] - 106.892251) <= kSixDecimals);
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
