#include "colorimetry/sensitivity.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace isoseam;

namespace {

constexpr double kRounding = 1e-12;
constexpr int kFirstNm = 400;

// A cubic in log10, which four samples determine.
double log_cubic(double nm) {
    const double t = (nm - 410.0) / 10.0;
    return std::pow(10.0, 0.3 * t * t * t - t * t + 0.5 * t - 1.0);
}

// Columns: that cubic; a straight line that ends in 0; a constant.
Eigen::MatrixX3d synthetic_table() {
    Eigen::MatrixX3d table(21, 3);
    for (Eigen::Index row = 0; row < table.rows(); ++row) {
        const double nm = kFirstNm + static_cast<double>(row);
        table.row(row) << log_cubic(nm), std::max(0.0, 405.0 - nm), 2.0;
    }
    return table;
}

}  // namespace

TEST_CASE("between whole nanometres log sensitivity follows the cubic through four samples") {
    const Eigen::MatrixX3d table = synthetic_table();
    for (const double nm : {400.0, 400.25, 401.5, 407.0, 413.9, 419.75, 420.0}) {
        CHECK(sensitivity_at_nm(table, kFirstNm, nm)[0] == Approx(log_cubic(nm)).epsilon(kRounding));
        CHECK(sensitivity_at_nm(table, kFirstNm, nm)[2] == Approx(2.0).epsilon(kRounding));
    }
    CHECK(sensitivity_at_nm(table, kFirstNm, 404.25)[1] ==
          Approx(0.75).epsilon(kRounding));  // next to zeros: linear
    CHECK(sensitivity_at_nm(table, kFirstNm, 405.5)[1] == 0.0);
    CHECK(sensitivity_at_nm(table, kFirstNm, 399.99) == Eigen::Vector3d::Zero());
    CHECK(sensitivity_at_nm(table, kFirstNm, 420.01) == Eigen::Vector3d::Zero());
}

TEST_CASE("what is caught is the trapezoid over both grids, inside both ranges, and the lines") {
    const Eigen::MatrixX3d table = synthetic_table();
    // Constant sensitivity: the integral of the spectrum itself over the common range, exactly.
    const Spectrum ramp = Spectrum::from_radiance_w_sr_m2_nm({390.0, 410.5, 430.0}, {0.0, 4.1, 0.2});
    const double common = ramp.sampled_on(std::vector<double>{400.0, 410.5, 420.0}).integral_w_sr_m2();
    CHECK(caught(ramp, table, kFirstNm)[2] == Approx(2.0 * common).epsilon(kRounding));
    CHECK(caught(Spectrum::from_line(407.3, 0.5), table, kFirstNm)[0] ==
          Approx(0.5 * log_cubic(407.3)).epsilon(kRounding));
    CHECK(caught(Spectrum::from_line(500.0, 1.0), table, kFirstNm) == Eigen::Vector3d::Zero());
    CHECK(caught(Spectrum::from_radiance_w_sr_m2_nm({500.0, 600.0}, {1.0, 1.0}), table, kFirstNm) ==
          Eigen::Vector3d::Zero());
    CHECK(caught(Spectrum(), table, kFirstNm) == Eigen::Vector3d::Zero());
}
