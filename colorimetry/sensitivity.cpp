#include "colorimetry/sensitivity.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace isoseam {
namespace {

using Window = Eigen::Vector4d;

// Lagrange weights for x between the nodes 0, 1, 2, 3.
Window lagrange_weights(double x) {
    return {-(x - 1.0) * (x - 2.0) * (x - 3.0) / 6.0, x * (x - 2.0) * (x - 3.0) / 2.0,
            -x * (x - 1.0) * (x - 3.0) / 2.0, x * (x - 1.0) * (x - 2.0) / 6.0};
}

std::vector<double> union_grid_nm(const std::vector<double>& grid_nm, int first_nm, int last_nm) {
    std::vector<double> nodes_nm;
    nodes_nm.reserve(grid_nm.size() + static_cast<std::size_t>(last_nm - first_nm + 1));
    const double from_nm = std::max<double>(first_nm, grid_nm.front());
    const double to_nm = std::min<double>(last_nm, grid_nm.back());
    for (const double nm : grid_nm) {
        if (nm >= from_nm && nm <= to_nm) {
            nodes_nm.push_back(nm);
        }
    }
    for (int nm = first_nm; nm <= last_nm; ++nm) {
        if (nm >= from_nm && nm <= to_nm) {
            nodes_nm.push_back(nm);
        }
    }
    std::sort(nodes_nm.begin(), nodes_nm.end());
    nodes_nm.erase(std::unique(nodes_nm.begin(), nodes_nm.end()), nodes_nm.end());
    return nodes_nm;
}

// For a spectrum whose samples stand at whole nanometres: the union of both grids is each whole nanometre of
// their common part.
Eigen::Vector3d caught_in_whole_nm(const Spectrum& spectrum, const SensitivityRows& table, int first_nm) {
    const auto spectrum_first_nm = static_cast<Eigen::Index>(spectrum.first_nm());
    const Eigen::Index from_nm = std::max<Eigen::Index>(first_nm, spectrum_first_nm);
    const Eigen::Index to_nm =
        std::min<Eigen::Index>(first_nm + table.rows() - 1, static_cast<Eigen::Index>(spectrum.last_nm()));
    if (from_nm >= to_nm) {
        return Eigen::Vector3d::Zero();
    }
    const Eigen::Index count = to_nm - from_nm + 1;
    const Eigen::Map<const Eigen::VectorXd> values(
        spectrum.values_per_nm().data() + (from_nm - spectrum_first_nm), count);
    const auto rows = table.middleRows(from_nm - first_nm, count);
    return rows.transpose() * values -
           (rows.row(0).transpose() * values[0] + rows.row(count - 1).transpose() * values[count - 1]) / 2.0;
}

}  // namespace

Eigen::Vector3d sensitivity_at_nm(const SensitivityRows& table, int first_nm, double nm) {
    const double position = nm - first_nm;
    const Eigen::Index last = table.rows() - 1;
    if (!(position >= 0.0 && position <= static_cast<double>(last))) {
        return Eigen::Vector3d::Zero();
    }
    const auto left = static_cast<Eigen::Index>(position);
    const double share = position - static_cast<double>(left);
    if (share == 0.0) {
        return table.row(left);
    }
    const Eigen::Index start = std::clamp<Eigen::Index>(left - 1, 0, last - 3);
    const Window weights = lagrange_weights(position - static_cast<double>(start));
    Eigen::Vector3d result;
    for (Eigen::Index column = 0; column < 3; ++column) {
        const Window values = table.col(column).segment<4>(start);
        result[column] = values.minCoeff() > 0.0
                             ? std::pow(10.0, weights.dot(Window(values.array().log10())))
                             : std::lerp(table(left, column), table(left + 1, column), share);
    }
    return result;
}

Eigen::Vector3d caught(const Spectrum& spectrum, const SensitivityRows& table, int first_nm) {
    Eigen::Vector3d sum = Eigen::Vector3d::Zero();
    for (const Spectrum::Line& line : spectrum.lines()) {
        sum += line.radiance_w_sr_m2 * sensitivity_at_nm(table, first_nm, line.nm);
    }
    if (!spectrum.has_continuous_part()) {
        return sum;
    }
    if (!spectrum.values_per_nm().empty()) {
        return sum + caught_in_whole_nm(spectrum, table, first_nm);
    }
    const int last_nm = first_nm + static_cast<int>(table.rows()) - 1;
    const std::vector<double> nodes_nm = union_grid_nm(spectrum.wavelengths_nm(), first_nm, last_nm);
    for (std::size_t i = 0; i < nodes_nm.size(); ++i) {
        const double before_nm = i == 0 ? nodes_nm[i] : nodes_nm[i - 1];
        const double after_nm = i + 1 == nodes_nm.size() ? nodes_nm[i] : nodes_nm[i + 1];
        sum += (after_nm - before_nm) / 2.0 * spectrum.at_nm(nodes_nm[i]) *
               sensitivity_at_nm(table, first_nm, nodes_nm[i]);
    }
    return sum;
}

}  // namespace isoseam
