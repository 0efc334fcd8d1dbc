#include "protocols/language/axes.h"

#include <fmt/format.h>

#include <Eigen/QR>
#include <algorithm>
#include <charconv>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr int kMostPrimaries = 16;
// Directions are made of 0, 1 and -1. A residual or a share below this is rounding, because any other one is
// of the order of 1.
constexpr double kRoundingOfUnitVectors = 1e-9;

[[noreturn]] void refuse(std::string_view name, const std::string& remedy) {
    throw InputError(fmt::format("'{}' is no axis of this space", name), remedy);
}

Eigen::VectorXd cone_direction(std::string_view name) {
    constexpr std::string_view kCones = "LMS";
    const std::string remedy = "write a sum of cones, each named once, such as L, M, S, L+M, L-M or L+M+S";
    Eigen::VectorXd direction = Eigen::VectorXd::Zero(3);
    for (std::size_t i = 0; i < name.size(); ++i) {
        double sign = 1.0;
        const bool signed_term = name[i] == '-' || (i > 0 && name[i] == '+');
        if (i > 0 && !signed_term)
            refuse(name, remedy);
        if (signed_term) {
            sign = name[i] == '+' ? 1.0 : -1.0;
            ++i;
        }
        const std::size_t cone = i < name.size() ? kCones.find(name[i]) : std::string_view::npos;
        if (cone == std::string_view::npos || direction[static_cast<Eigen::Index>(cone)] != 0.0)
            refuse(name, remedy);
        direction[static_cast<Eigen::Index>(cone)] = sign;
    }
    if (direction.isZero())
        refuse(name, remedy);
    return direction;
}

Eigen::VectorXd macleod_boynton_direction(std::string_view name) {
    constexpr std::array<std::string_view, 3> kCoordinates{"l", "s", "luminance"};
    const auto found = std::find(kCoordinates.begin(), kCoordinates.end(), name);
    if (found == kCoordinates.end())
        refuse(name, "write l, s or luminance");
    return Eigen::VectorXd::Unit(3, found - kCoordinates.begin());
}

Eigen::VectorXd primary_direction(std::string_view name) {
    constexpr std::string_view kPrefix = "primary ";
    int number = 0;
    if (name.substr(0, kPrefix.size()) == kPrefix) {
        const std::string_view digits = name.substr(kPrefix.size());
        const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
        if (error != std::errc{} || end != digits.data() + digits.size())
            number = 0;
    }
    if (!(number >= 1 && number <= kMostPrimaries))
        refuse(
            name,
            "write 'primary 1', 'primary 2' and so on, in the order of the adjusted half's calibration file");
    return Eigen::VectorXd::Unit(number, number - 1);
}

}  // namespace

Eigen::VectorXd axis_direction(AdjustmentSpace space, std::string_view name) {
    switch (space) {
        case AdjustmentSpace::cone_contrast:
            return cone_direction(name);
        case AdjustmentSpace::macleod_boynton:
            return macleod_boynton_direction(name);
        case AdjustmentSpace::primaries:
            break;
    }
    return primary_direction(name);
}

bool is_plain_number(AdjustmentSpace space, std::string_view name) {
    return space == AdjustmentSpace::macleod_boynton && name != "luminance";
}

std::vector<DependentAxis> dependent_axes(const std::vector<AdjustmentAxis>& axes) {
    Eigen::Index rows = 0;
    for (const AdjustmentAxis& axis : axes)
        rows = std::max(rows, axis.direction.size());
    Eigen::MatrixXd independent(rows, 0);
    std::vector<std::size_t> columns;
    std::vector<DependentAxis> dependent;
    for (std::size_t i = 0; i < axes.size(); ++i) {
        Eigen::VectorXd direction = Eigen::VectorXd::Zero(rows);
        direction.head(axes[i].direction.size()) = axes[i].direction;
        Eigen::VectorXd shares(0);
        if (independent.cols() > 0)
            shares = independent.colPivHouseholderQr().solve(direction);
        if ((direction - independent * shares).norm() > kRoundingOfUnitVectors) {
            independent.conservativeResize(Eigen::NoChange, independent.cols() + 1);
            independent.rightCols(1) = direction;
            columns.push_back(i);
            continue;
        }
        DependentAxis found{i, {}};
        for (Eigen::Index k = 0; k < shares.size(); ++k) {
            if (std::abs(shares[k]) > kRoundingOfUnitVectors)
                found.made_of.push_back(columns[static_cast<std::size_t>(k)]);
        }
        dependent.push_back(std::move(found));
    }
    return dependent;
}

}  // namespace isoseam
