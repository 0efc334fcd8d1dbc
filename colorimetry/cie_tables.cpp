#include "colorimetry/cie_tables.h"

#include <iterator>
#include <limits>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();

constexpr double kComponents[] = {
#include "cie170_components.inc"
};
constexpr double kFundamentals2deg[] = {
#include "cie170_cone_fundamentals_2deg.inc"
};
constexpr double kFundamentals10deg[] = {
#include "cie170_cone_fundamentals_10deg.inc"
};
constexpr double kCie1931[] = {
#include "cie1931_xyz_2deg.inc"
};
constexpr double kCie1964[] = {
#include "cie1964_xyz_10deg.inc"
};
constexpr double kCie2015For2deg[] = {
#include "cie2015_xyz_2deg.inc"
};
constexpr double kCie2015For10deg[] = {
#include "cie2015_xyz_10deg.inc"
};
constexpr double kCie1951[] = {
#include "cie1951_scotopic.inc"
};
constexpr double kDaylight[] = {
#include "cie_daylight_components.inc"
};
constexpr int kCie2015FirstNm = 390;

// Columns 1 .. Columns-1 of a table whose first column is the wavelength.
template <int Columns, std::size_t Numbers>
Eigen::MatrixXd without_wavelengths(const double (&numbers)[Numbers]) {
    static_assert(Numbers % Columns == 0, "every row of the table has the same number of columns");
    using Rows = Eigen::Matrix<double, static_cast<int>(Numbers) / Columns, Columns, Eigen::RowMajor>;
    return Eigen::Map<const Rows>(numbers).template rightCols<Columns - 1>();
}

ObserverComponents components() {
    const Eigen::MatrixXd table = without_wavelengths<7>(kComponents);
    return {.log10_absorbance = table.leftCols<3>(),
            .ocular_density_32y = table.col(3),
            .ocular_density_ageless = table.col(4),
            .macular_density_2deg = table.col(5)};
}

}  // namespace

const ObserverComponents& cie170_components() {
    static const ObserverComponents result = components();
    return result;
}

const SensitivityTable& cie170_cone_fundamentals_2deg() {
    static const SensitivityTable result = without_wavelengths<4>(kFundamentals2deg);
    return result;
}

const SensitivityTable& cie170_cone_fundamentals_10deg() {
    static const SensitivityTable result = without_wavelengths<4>(kFundamentals10deg);
    return result;
}

const SensitivityTable& cie1931_colour_matching_functions() {
    static const SensitivityTable result = without_wavelengths<4>(kCie1931);
    return result;
}

ColourMatchingTable colour_matching_table(ColourMatching of) {
    static const SensitivityTable cie1964 = without_wavelengths<4>(kCie1964);
    static const SensitivityTable cie2015_for_2deg = without_wavelengths<4>(kCie2015For2deg);
    static const SensitivityTable cie2015_for_10deg = without_wavelengths<4>(kCie2015For10deg);
    switch (of) {
        case ColourMatching::cie1931_2deg:
            return {cie1931_colour_matching_functions(), kCie1931FirstNm};
        case ColourMatching::cie1964_10deg:
            return {cie1964, kCie1931FirstNm};
        case ColourMatching::cie2015_2deg:
            return {cie2015_for_2deg, kCie2015FirstNm};
        case ColourMatching::cie2015_10deg:
            return {cie2015_for_10deg, kCie2015FirstNm};
    }
    ISOSEAM_CHECK(false, "an observer of the enumeration");
    return {cie1931_colour_matching_functions(), kCie1931FirstNm};
}

const Eigen::VectorXd& cie1951_scotopic_luminous_efficiency() {
    static const Eigen::VectorXd result = without_wavelengths<2>(kCie1951);
    return result;
}

const Eigen::MatrixX3d& cie_daylight_components() {
    static const Eigen::MatrixX3d result = without_wavelengths<4>(kDaylight);
    return result;
}

}  // namespace isoseam
