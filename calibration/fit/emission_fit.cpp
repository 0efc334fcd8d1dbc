#include "calibration/fit/emission_fit.h"

#include <fmt/format.h>

#include <Eigen/QR>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/errors.h"

namespace isoseam {
namespace {

using std::size_t;

// A spectrum and its multiples are found to a double's precision long before.
constexpr int kTurns = 30;

double product_of(const std::vector<int>& primaries, const Eigen::VectorXd& linear) {
    double product = 1.0;
    for (const int primary : primaries)
        product *= linear[primary];
    return product;
}

// Rows: mixtures in use; columns: terms. Weighted by the number of readings and the slope of lightness, with
// the mixture's light as a share of all primaries at full.
struct Design {
    Eigen::MatrixXd values;
    Eigen::VectorXd weights;
    std::vector<const ColourReadings*> rows;
};

Design design_of(const EmissionFit& fit, const std::vector<ColourReadings>& mixtures,
                 const std::vector<bool>& use) {
    Design design;
    for (size_t i = 0; i < mixtures.size(); ++i) {
        if (use[i])
            design.rows.push_back(&mixtures[i]);
    }
    const auto rows = static_cast<Eigen::Index>(design.rows.size());
    design.values.resize(rows, static_cast<Eigen::Index>(fit.terms.size()));
    design.weights.resize(rows);
    const double full = fit.primaries.sum();
    for (Eigen::Index i = 0; i < rows; ++i) {
        const ColourReadings& mixture = *design.rows[static_cast<size_t>(i)];
        const Eigen::VectorXd linear = fit.linear(mixture.drive);
        constexpr double kDimmest = 0.008856;  // where lightness turns into a straight line, CIE 015:2018
        const double share = std::max(kDimmest, (fit.primaries * linear).sum() / full);
        design.weights[i] = std::sqrt(mixture.count()) * std::pow(share, -2.0 / 3.0);
        design.values.row(i) = fit.term_values(linear).transpose() * design.weights[i];
    }
    return design;
}

}  // namespace

RampFit fit_ramp(const std::vector<ColourReadings>& ramp, const Eigen::VectorXd& black) {
    const auto levels = static_cast<Eigen::Index>(ramp.size());
    Eigen::MatrixXd light(levels, black.size());
    Eigen::VectorXd weight(levels);
    for (Eigen::Index k = 0; k < levels; ++k) {
        const ColourReadings& level = ramp[static_cast<size_t>(k)];
        light.row(k) = (level.light - black).transpose();
        weight[k] = level.count();
    }
    RampFit fit;
    fit.spectrum = light.row(levels - 1).transpose();
    for (int turn = 0; turn < kTurns; ++turn) {
        const Eigen::VectorXd before = fit.levels;
        fit.levels = light * fit.spectrum / fit.spectrum.squaredNorm();
        fit.levels /= fit.levels[levels - 1];
        const Eigen::VectorXd weighted = fit.levels.cwiseProduct(weight);
        fit.spectrum = light.transpose() * weighted / weighted.dot(fit.levels);
        constexpr double kStill = 1e-13;
        if (turn > 0 && (fit.levels - before).cwiseAbs().maxCoeff() < kStill)
            break;
    }
    return fit;
}

ToneLevels tone_levels(const std::vector<ColourReadings>& ramp, const RampFit& fit) {
    ToneLevels levels;
    for (size_t k = 0; k < ramp.size(); ++k) {
        levels.drive.push_back(ramp[k].drive.maxCoeff());
        levels.light.push_back(fit.levels[static_cast<Eigen::Index>(k)]);
        levels.weight.push_back(ramp[k].count());
    }
    return levels;
}

Eigen::VectorXd EmissionFit::linear(const Eigen::VectorXd& drive) const {
    Eigen::VectorXd result(drive.size());
    for (Eigen::Index i = 0; i < drive.size(); ++i)
        result[i] = tones[static_cast<size_t>(i)].linear_from_drive(drive[i]);
    return result;
}

Eigen::VectorXd EmissionFit::term_values(const Eigen::VectorXd& linear) const {
    Eigen::VectorXd values = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(terms.size()));
    for (size_t k = 0; k < terms.size(); ++k) {
        for (const std::vector<int>& primaries_of_product : terms[k].products)
            values[static_cast<Eigen::Index>(k)] += product_of(primaries_of_product, linear);
    }
    return values;
}

Eigen::VectorXd EmissionFit::additive(const Eigen::VectorXd& drive) const {
    return black + primaries * linear(drive);
}

Eigen::VectorXd EmissionFit::light(const Eigen::VectorXd& drive) const {
    if (terms.empty())
        return additive(drive);
    return additive(drive) + term_spectra * term_values(linear(drive));
}

EmissionFit fit_emission(const SortedReadings& readings, const EmissionForm& form) {
    EmissionFit fit;
    fit.black = readings.dark.mean;
    fit.primaries.resize(fit.black.size(), readings.primary_count());
    for (size_t i = 0; i < readings.ramps.size(); ++i) {
        RampFit ramp = fit_ramp(readings.ramps[i], fit.black);
        const std::optional<ToneFit> tone = fit_tone(form.tones[i], tone_levels(readings.ramps[i], ramp));
        if (!tone) {
            throw InputError(Fault{
                readings.file, 0, 0, readings.primaries[i],
                fmt::format("its levels do not determine the tone response '{}'", to_string(form.tones[i])),
                "read more levels"});
        }
        fit.primaries.col(static_cast<Eigen::Index>(i)) = ramp.spectrum * tone->scale;
        fit.tones.push_back(tone->response);
        fit.ramps.push_back(std::move(ramp));
    }
    fit.terms = form.terms;
    if (!fit.terms.empty())
        fit.term_spectra =
            fit_terms(fit, readings.mixtures, std::vector<bool>(readings.mixtures.size(), true));
    return fit;
}

Eigen::MatrixXd fit_terms(const EmissionFit& fit, const std::vector<ColourReadings>& mixtures,
                          const std::vector<bool>& use) {
    const Design design = design_of(fit, mixtures, use);
    Eigen::MatrixXd missing(design.values.rows(), fit.black.size());
    for (Eigen::Index i = 0; i < missing.rows(); ++i) {
        const ColourReadings& mixture = *design.rows[static_cast<size_t>(i)];
        missing.row(i) = design.weights[i] * (mixture.light - fit.additive(mixture.drive)).transpose();
    }
    return design.values.colPivHouseholderQr().solve(missing).transpose();
}

double terms_condition(const EmissionFit& fit, const std::vector<ColourReadings>& mixtures,
                       const std::vector<bool>& use) {
    Eigen::MatrixXd values = design_of(fit, mixtures, use).values;
    if (values.rows() < values.cols())
        return std::numeric_limits<double>::infinity();
    for (Eigen::Index k = 0; k < values.cols(); ++k) {
        const double length = values.col(k).norm();
        if (!(length > 0.0))
            return std::numeric_limits<double>::infinity();
        values.col(k) /= length;
    }
    const Eigen::VectorXd sizes = Eigen::JacobiSVD<Eigen::MatrixXd>(values).singularValues();
    const double smallest = sizes[sizes.size() - 1];
    return smallest > 0.0 ? sizes[0] / smallest : std::numeric_limits<double>::infinity();
}

}  // namespace isoseam
