#include "colorimetry/colour_match.h"

#include <fmt/format.h>

#include <Eigen/LU>
#include <Eigen/SVD>
#include <cmath>
#include <limits>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr const char* kLightNames[] = {"first", "second", "third"};

// Rows of the cones that the observer has.
Eigen::MatrixXd rows_of_cones(const Eigen::MatrixXd& lms, const Observer& observer) {
    Eigen::MatrixXd rows(0, lms.cols());
    for (const Cone cone : {Cone::l, Cone::m, Cone::s}) {
        if (observer.has(cone)) {
            rows.conservativeResize(rows.rows() + 1, Eigen::NoChange);
            rows.row(rows.rows() - 1) = lms.row(static_cast<Eigen::Index>(cone));
        }
    }
    return rows;
}

void check_lights(const Eigen::MatrixXd& columns, const Eigen::VectorXd& wanted) {
    std::vector<Fault> faults;
    for (Eigen::Index light = 0; light < columns.cols(); ++light) {
        if (!(columns.col(light).norm() > 0.0)) {
            faults.push_back({"", 0, 0, fmt::format("{} light", kLightNames[light]),
                              "this eye gets nothing of it", "choose a light that it sees"});
        }
    }
    if (!(wanted.norm() > 0.0)) {
        faults.push_back(
            {"", 0, 0, "wanted light", "this eye gets nothing of it", "choose a light that it sees"});
    }
    throw_if_any(faults);
}

// The mixtures of as many lights as there are cones, out of three; without those whose lights look alike.
std::vector<Eigen::Vector3d> simplest_mixtures(const Eigen::MatrixXd& columns,
                                               const Eigen::VectorXd& wanted) {
    const auto count = static_cast<int>(columns.rows());
    std::vector<Eigen::Vector3d> mixtures;
    for (unsigned chosen = 1; chosen < 8; ++chosen) {
        std::vector<Eigen::Index> lights;
        for (Eigen::Index light = 0; light < 3; ++light) {
            if ((chosen >> static_cast<unsigned>(light)) & 1U) {
                lights.push_back(light);
            }
        }
        if (static_cast<int>(lights.size()) != count) {
            continue;
        }
        const Eigen::MatrixXd of_these = columns(Eigen::all, lights);
        if (!(condition_number(of_these) <= kLargestMatchConditionNumber)) {
            continue;
        }
        Eigen::Vector3d amounts = Eigen::Vector3d::Zero();
        amounts(lights) = of_these.fullPivLu().solve(wanted);
        mixtures.push_back(amounts);
    }
    return mixtures;
}

}  // namespace

double condition_number(const Eigen::MatrixXd& columns) {
    ISOSEAM_CHECK(columns.cols() >= 1 && columns.rows() >= 1);
    const Eigen::RowVectorXd lengths = columns.colwise().norm();
    if (!(lengths.minCoeff() > 0.0)) {
        return std::numeric_limits<double>::infinity();
    }
    const Eigen::MatrixXd scaled = columns.array().rowwise() / lengths.array();
    const Eigen::VectorXd singular = Eigen::JacobiSVD<Eigen::MatrixXd>(scaled).singularValues();
    const double smallest = singular[singular.size() - 1];
    return smallest > 0.0 ? singular[0] / smallest : std::numeric_limits<double>::infinity();
}

ColourMatch colour_match(const std::array<Lms, 3>& lights, const Lms& wanted, const Observer& observer) {
    Eigen::Matrix3d all;
    all << lights[0].vector(), lights[1].vector(), lights[2].vector();
    const Eigen::MatrixXd columns = rows_of_cones(all, observer);
    const Eigen::VectorXd wanted_rows = rows_of_cones(wanted.vector(), observer);
    check_lights(columns, wanted_rows);
    ColourMatch match;
    match.condition_number = condition_number(columns);
    if (!(match.condition_number <= kLargestMatchConditionNumber)) {
        throw InputError(
            "three lights",
            fmt::format(
                "the condition number of their cone excitations is {:.3g}, the limit {:g}: to this eye "
                "one of them looks like another or like a mixture of the others, and the least error of "
                "a sensitivity would change the amounts without end",
                match.condition_number, kLargestMatchConditionNumber),
            "choose lights that look more different to it");
    }
    match.mixtures = simplest_mixtures(columns, wanted_rows);
    ISOSEAM_CHECK(!match.mixtures.empty());
    const Eigen::RowVector3d lengths = columns.colwise().norm();
    const Eigen::MatrixXd scaled = columns.array().rowwise() / lengths.array();
    const Eigen::JacobiSVD<Eigen::MatrixXd> svd(scaled, Eigen::ComputeFullV);
    match.free_changes = svd.matrixV().rightCols(3 - columns.rows());
    match.free_changes.array().colwise() /= lengths.transpose().array();
    for (Eigen::Index column = 0; column < match.free_changes.cols(); ++column) {
        match.free_changes.col(column) /= match.free_changes.col(column).cwiseAbs().maxCoeff();
    }
    return match;
}

bool is_physical(const Eigen::Vector3d& amounts) {
    return amounts.minCoeff() >= 0.0;
}

}  // namespace isoseam
