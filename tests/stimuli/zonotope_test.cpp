// The gamut solid against brute force: every way of fixing some drives at 0, some at 1 and leaving the others
// free.

#include "stimuli/zonotope.h"

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <optional>

#include "base/random.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

constexpr std::uint32_t kStreamMatrices = 1002;
constexpr std::uint32_t kStreamPoints = 1003;

// Columns like the cone excitations of primaries: positive, of unlike lengths.
Eigen::Matrix3Xd random_matrix(int columns, std::uint64_t index) {
    const RandomStream random{7, kStreamMatrices};
    Eigen::Matrix3Xd a(3, columns);
    for (int k = 0; k < columns; ++k) {
        for (int i = 0; i < 3; ++i) {
            const auto place =
                (index * 16 + static_cast<std::uint64_t>(k)) * 3 + static_cast<std::uint64_t>(i);
            a(i, k) = 0.1 * std::pow(random.uniform(place), 2.0);
        }
    }
    return a;
}

// Inside the box; every third vector has only 0, 1 and two elements between, so that it leads near or onto
// the border.
Eigen::VectorXd random_drives(int columns, std::uint64_t index) {
    const RandomStream random{8, kStreamPoints};
    Eigen::VectorXd x(columns);
    for (int k = 0; k < columns; ++k) {
        x[k] = random.uniform(index * 16 + static_cast<std::uint64_t>(k));
        if (index % 3 == 0 && k >= 2)
            x[k] = std::round(x[k]);
    }
    return x;
}

// The best of all 3^N candidates that satisfy A x = b within the box; nothing when none does.
std::optional<Eigen::VectorXd> brute_force(const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b) {
    const auto n = static_cast<int>(a.cols());
    std::optional<Eigen::VectorXd> best;
    for (int choice = 0; choice < static_cast<int>(std::pow(3, n)); ++choice) {
        Eigen::Matrix3Xd free_columns = a;
        Eigen::VectorXd x = Eigen::VectorXd::Zero(n);
        for (int k = 0, rest = choice; k < n; ++k, rest /= 3) {
            if (rest % 3 != 2)
                free_columns.col(k).setZero();
            x[k] = rest % 3 == 1 ? 1.0 : 0.0;
        }
        x += free_columns.completeOrthogonalDecomposition().solve(b - a * x);
        const bool solves = (a * x - b).norm() <= 1e-11 * a.norm();
        if (solves && x.minCoeff() >= -1e-10 && x.maxCoeff() <= 1.0 + 1e-10 &&
            (!best || x.norm() < best->norm()))
            best = x;
    }
    return best;
}

}  // namespace

TEST_CASE("the smallest solution in the box is that of an exhaustive search, for 4 to 6 primaries") {
    for (int n = 4; n <= 6; ++n) {
        for (std::uint64_t i = 0; i < 30; ++i) {
            const Eigen::Matrix3Xd a = random_matrix(n, i + static_cast<std::uint64_t>(100 * n));
            const Eigen::Vector3d b = a * random_drives(n, i);
            const std::optional<Eigen::VectorXd> expected = brute_force(a, b);
            REQUIRE(expected);
            const Eigen::VectorXd x = smallest_solution_in_unit_box(a, b);
            CAPTURE(n, i, x.transpose(), expected->transpose());
            CHECK((x - *expected).cwiseAbs().maxCoeff() <= 1e-9);
        }
    }
}

// x is the smallest solution exactly if some y has x_k = a_k . y where x_k is free, a_k . y <= 0 where x_k =
// 0 and a_k . y >= 1 where x_k = 1 (Karush-Kuhn-Tucker).
TEST_CASE("for up to 16 primaries the solution meets the conditions of optimality") {
    int checked = 0;
    for (int n = 4; n <= 16; ++n) {
        for (std::uint64_t i = 0; i < 60; ++i) {
            const Eigen::Matrix3Xd a = random_matrix(n, i + static_cast<std::uint64_t>(1000 * n));
            const Eigen::Vector3d b = a * random_drives(n, i);
            const Eigen::VectorXd x = smallest_solution_in_unit_box(a, b);
            CAPTURE(n, i, x.transpose());
            REQUIRE(x.minCoeff() >= 0.0);
            REQUIRE(x.maxCoeff() <= 1.0);
            REQUIRE((a * x - b).norm() <= 1e-13 * a.norm());
            Eigen::MatrixX3d free_rows(0, 3);
            Eigen::VectorXd free_values(0);
            for (int k = 0; k < n; ++k) {
                if (x[k] > 0.0 && x[k] < 1.0) {
                    free_rows.conservativeResize(free_rows.rows() + 1, 3);
                    free_rows.bottomRows(1) = a.col(k).transpose();
                    free_values.conservativeResize(free_values.size() + 1);
                    free_values[free_values.size() - 1] = x[k];
                }
            }
            if (free_rows.rows() < 3)
                continue;  // y is not determined by x; the exhaustive search covers such points
            const Eigen::Vector3d y = free_rows.colPivHouseholderQr().solve(free_values);
            CHECK((free_rows * y - free_values).norm() <= 1e-8);
            const Eigen::VectorXd pull = a.transpose() * y;
            for (int k = 0; k < n; ++k) {
                CHECK((x[k] > 0.0 || pull[k] <= 1e-8));
                CHECK((x[k] < 1.0 || pull[k] >= 1.0 - 1e-8));
            }
            ++checked;
        }
    }
    CHECK(checked > 500);
}

TEST_CASE("within the box's reach the smallest solution is the unconstrained one") {
    const Eigen::Matrix3Xd a = random_matrix(5, 3);
    const Eigen::Vector3d b = 0.5 * a.rowwise().sum();
    const Eigen::VectorXd x = smallest_solution(a, b);
    REQUIRE(x.minCoeff() > 0.0);
    REQUIRE(x.maxCoeff() < 1.0);
    CHECK((a * x - b).norm() <= 1e-15);
    CHECK((x - smallest_solution_in_unit_box(a, b)).norm() <= 1e-13);
}

// By its definition: at the margin t the target is still reached with every drive in [t, 1 - t], a little
// above no more.
TEST_CASE("the margin is the largest one that an exhaustive search can keep") {
    const auto reachable = [](const Eigen::Matrix3Xd& a, const Eigen::Vector3d& b, double t) {
        return brute_force(a, (b - t * a.rowwise().sum()) / (1.0 - 2.0 * t)).has_value();
    };
    for (std::uint64_t i = 0; i < 25; ++i) {
        const Eigen::Matrix3Xd a = random_matrix(5, 500 + i);
        // Some of these lie outside.
        const Eigen::Vector3d b = a * (1.3 * random_drives(5, i).array() - 0.15).matrix();
        const double margin = zonotope_margin(a, b);
        CAPTURE(i, margin);
        CHECK(reachable(a, b, margin - 1e-7));
        CHECK_FALSE(reachable(a, b, margin + 1e-7));
    }
}

TEST_CASE("the reach ends where the margin is used up") {
    for (std::uint64_t i = 0; i < 40; ++i) {
        const int n = 3 + static_cast<int>(i % 6);
        const Eigen::Matrix3Xd a = random_matrix(n, 900 + i);
        const Eigen::Vector3d inside = a * (0.8 * random_drives(n, 3 * i + 1).array() + 0.1).matrix();
        const Eigen::Vector3d direction = a * random_drives(n, 3 * i + 2) - inside;
        const double reach = zonotope_reach(a, inside, direction);
        CAPTURE(n, i, reach);
        CHECK(reach >= 1.0);  // the direction leads to a point inside
        CHECK(zonotope_margin(a, inside + reach * direction) == Approx(0.0).margin(1e-12));
    }
    const Eigen::Matrix3Xd a = random_matrix(4, 1);
    CHECK(zonotope_reach(a, 0.5 * a.rowwise().sum(), Eigen::Vector3d::Zero()) ==
          std::numeric_limits<double>::infinity());
}

TEST_CASE("a point on a facet can move along it, and not out") {
    const Eigen::Matrix3Xd a = random_matrix(4, 42);
    const Eigen::Vector3d normal = Eigen::Vector3d(a.col(0)).cross(Eigen::Vector3d(a.col(1)));
    Eigen::Vector3d on_facet = 0.5 * (a.col(0) + a.col(1));
    for (int k = 2; k < 4; ++k)
        on_facet += normal.dot(a.col(k)) > 0.0 ? Eigen::Vector3d(a.col(k)) : Eigen::Vector3d::Zero();
    CHECK(zonotope_margin(a, on_facet) == Approx(0.0).margin(1e-13));
    CHECK(zonotope_reach(a, on_facet, normal) * normal.norm() <= 1e-14);
    CHECK(zonotope_reach(a, on_facet, a.col(0)) == Approx(0.5).epsilon(test::kRoundingOfDoubles));
}
