#include "calibration/display_model.h"

#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/errors.h"
#include "calibration/interaction_model.h"

namespace isoseam {
namespace {

using std::size_t;

// Every element of `fractions` through `map`, one tone response after the other.
template <class Map>
Eigen::VectorXd through_tones(const Eigen::VectorXd& fractions, const std::vector<ToneResponse>& tones,
                              Map map) {
    ISOSEAM_CHECK_EQ(fractions.size(), tones.size());
    Eigen::VectorXd result(fractions.size());
    for (Eigen::Index i = 0; i < fractions.size(); ++i)
        result[i] = map(tones[static_cast<size_t>(i)], fractions[i]);
    return result;
}

double condition_of(const Eigen::Matrix3d& matrix) {
    Eigen::Matrix3d scaled = matrix;
    for (int column = 0; column < 3; ++column) {
        const double length = scaled.col(column).norm();
        if (!(length > 0.0))
            return std::numeric_limits<double>::infinity();
        scaled.col(column) /= length;
    }
    const Eigen::Vector3d values = Eigen::JacobiSVD<Eigen::Matrix3d>(scaled).singularValues();
    const bool singular = !(values[2] > std::numeric_limits<double>::epsilon() * values[0]);
    return singular ? std::numeric_limits<double>::infinity() : values[0] / values[2];
}

// Integral of the product of two piecewise-linear spectra over the range that both cover, exact on the union
// of grids.
double inner_product(const Spectrum& a, const Spectrum& b) {
    const double first = std::max(a.first_nm(), b.first_nm());
    const double last = std::min(a.last_nm(), b.last_nm());
    std::vector<double> grid{first, last};
    for (const Spectrum* spectrum : {&a, &b}) {
        for (const double nm : spectrum->wavelengths_nm()) {
            if (nm > first && nm < last)
                grid.push_back(nm);
        }
    }
    std::sort(grid.begin(), grid.end());
    double sum = 0.0;
    for (size_t i = 1; i < grid.size() && first < last; ++i) {
        const double a0 = a.at_nm(grid[i - 1]);
        const double a1 = a.at_nm(grid[i]);
        const double b0 = b.at_nm(grid[i - 1]);
        const double b1 = b.at_nm(grid[i]);
        sum += (grid[i] - grid[i - 1]) * (2.0 * (a0 * b0 + a1 * b1) + a0 * b1 + a1 * b0) / 6.0;
    }
    return sum;
}

bool has_each_primary_of(const Calibration& a, const Calibration& b, double tolerance) {
    return std::all_of(b.primaries.begin(), b.primaries.end(), [&](const Primary& wanted) {
        return std::any_of(a.primaries.begin(), a.primaries.end(), [&](const Primary& candidate) {
            return shape_difference(candidate.spectrum, wanted.spectrum) < tolerance;
        });
    });
}

}  // namespace

DisplayModel::DisplayModel(const Calibration& calibration)
    : calibration_(calibration),
      xyz_from_linear_(3, static_cast<Eigen::Index>(calibration.primaries.size())),
      xyz_from_products_(3, static_cast<Eigen::Index>(calibration.interactions.size())),
      black_xyz_(tristimulus(calibration.black)) {
    ISOSEAM_CHECK_BETWEEN(calibration.primaries.size(), 3, 16);
    tones_.reserve(calibration.primaries.size());
    for (const Primary& primary : calibration.primaries) {
        xyz_from_linear_.col(static_cast<Eigen::Index>(tones_.size())) =
            tristimulus(primary.spectrum).vector();
        tones_.push_back(primary.tone);
    }
    for (Eigen::Index k = 0; k < xyz_from_products_.cols(); ++k) {
        xyz_from_products_.col(k) =
            tristimulus(calibration.interactions[static_cast<size_t>(k)].spectrum).vector();
    }
}

LinearDrive DisplayModel::linear_from_drive(const Drive& drive) const {
    return {through_tones(drive.fractions, tones_, [](const ToneResponse& tone, double value) {
        return tone.linear_from_drive(value);
    })};
}

Drive DisplayModel::drive_from_linear(const LinearDrive& linear) const {
    return {through_tones(linear.fractions, tones_, [](const ToneResponse& tone, double value) {
        return tone.drive_from_linear(value);
    })};
}

Spectrum DisplayModel::spectrum(const LinearDrive& linear) const {
    ISOSEAM_CHECK_EQ(linear.fractions.size(), primary_count());
    Spectrum sum = calibration_.black;
    for (size_t i = 0; i < calibration_.primaries.size(); ++i)
        sum = sum + calibration_.primaries[i].spectrum.scaled(linear.fractions[static_cast<Eigen::Index>(i)]);
    const Eigen::VectorXd products = interaction_products(calibration_.interactions, linear.fractions);
    for (size_t k = 0; k < calibration_.interactions.size(); ++k)
        sum = sum + calibration_.interactions[k].spectrum.scaled(products[static_cast<Eigen::Index>(k)]);
    return sum;
}

Eigen::Matrix3Xd DisplayModel::lms_from_linear(const Observer& observer) const {
    Eigen::Matrix3Xd columns(3, primary_count());
    for (int i = 0; i < primary_count(); ++i)
        columns.col(i) =
            observer.excitations(calibration_.primaries[static_cast<size_t>(i)].spectrum).vector();
    return columns;
}

Lms DisplayModel::black_lms(const Observer& observer) const {
    return observer.excitations(calibration_.black);
}

Lms DisplayModel::lms(const LinearDrive& linear, const Observer& observer) const {
    ISOSEAM_CHECK(linear.fractions.size() == primary_count());
    Eigen::Vector3d sum = lms_from_linear(observer) * linear.fractions + black_lms(observer).vector();
    const Eigen::VectorXd products = interaction_products(calibration_.interactions, linear.fractions);
    for (size_t k = 0; k < calibration_.interactions.size(); ++k) {
        sum += products[static_cast<Eigen::Index>(k)] *
               observer.excitations(calibration_.interactions[k].spectrum).vector();
    }
    return Lms::from_vector(sum);
}

Xyz DisplayModel::xyz(const LinearDrive& linear) const {
    ISOSEAM_CHECK(linear.fractions.size() == primary_count());
    Eigen::Vector3d sum = xyz_from_linear_ * linear.fractions + black_xyz_.vector();
    // Eigen multiplies empty matrices with addresses that lie behind no object.
    if (!calibration_.interactions.empty())
        sum += xyz_from_products_ * interaction_products(calibration_.interactions, linear.fractions);
    return Xyz::from_vector(sum);
}

double DisplayModel::condition_number(const Observer& observer) const {
    const Eigen::Matrix3Xd columns = lms_from_linear(observer);
    double least = std::numeric_limits<double>::infinity();
    for (int i = 0; i < columns.cols(); ++i) {
        for (int j = i + 1; j < columns.cols(); ++j) {
            for (int k = j + 1; k < columns.cols(); ++k) {
                Eigen::Matrix3d three;
                three << columns.col(i), columns.col(j), columns.col(k);
                least = std::min(least, condition_of(three));
            }
        }
    }
    return least;
}

double shape_difference(const Spectrum& a, const Spectrum& b) {
    ISOSEAM_CHECK(a.has_continuous_part() && b.has_continuous_part());
    const double size_a = std::sqrt(inner_product(a, a));
    const double size_b = std::sqrt(inner_product(b, b));
    ISOSEAM_CHECK_GT(size_a, 0.0);
    ISOSEAM_CHECK_GT(size_b, 0.0);
    const double cosine = std::min(1.0, inner_product(a, b) / size_a / size_b);
    return std::sqrt((1.0 - cosine) * (1.0 + cosine));
}

bool share_primaries(const DisplayModel& a, const DisplayModel& b, double tolerance) {
    return has_each_primary_of(a.calibration(), b.calibration(), tolerance) &&
           has_each_primary_of(b.calibration(), a.calibration(), tolerance);
}

}  // namespace isoseam
