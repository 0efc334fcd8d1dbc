#include "protocols/procedures/bayesian_tables.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace isoseam {
namespace {

double radians(double angle_deg) {
    return angle_deg * std::numbers::pi / 180.0;
}

// All combinations of the grids' values. The value of the last grid changes fastest.
struct Grid {
    std::vector<const GriddedParameter*> parameters;

    Eigen::Index size() const {
        Eigen::Index product = 1;
        for (const GriddedParameter* parameter : parameters)
            product *= static_cast<Eigen::Index>(parameter->values.size());
        return product;
    }
    std::vector<std::size_t> indices(Eigen::Index hypothesis) const {
        std::vector<std::size_t> found(parameters.size());
        auto rest = static_cast<std::size_t>(hypothesis);
        for (std::size_t i = parameters.size(); i-- > 0;) {
            found[i] = rest % parameters[i]->values.size();
            rest /= parameters[i]->values.size();
        }
        return found;
    }
};

Grid grid_of(const BayesianAdaptiveSpec& spec) {
    Grid grid;
    for (const GriddedParameter& threshold : spec.thresholds)
        grid.parameters.push_back(&threshold);
    for (const GriddedParameter* parameter : {&spec.angle_deg, &spec.slope, &spec.guess, &spec.lapse})
        grid.parameters.push_back(parameter);
    return grid;
}

void fill_hypotheses(const BayesianAdaptiveSpec& spec, BayesianTables& tables) {
    const Grid grid = grid_of(spec);
    const Eigen::Index count = grid.size();
    const auto dimensions = static_cast<Eigen::Index>(spec.thresholds.size());
    tables.principal.resize(count, dimensions);
    for (Eigen::VectorXd* column : {&tables.angle_deg, &tables.slope, &tables.guess, &tables.lapse})
        column->resize(count);
    tables.log_prior.setZero(count);
    for (Eigen::Index hypothesis = 0; hypothesis < count; ++hypothesis) {
        const std::vector<std::size_t> indices = grid.indices(hypothesis);
        const auto value = [&](std::size_t i) { return grid.parameters[i]->values[indices[i]]; };
        const auto axes = static_cast<std::size_t>(dimensions);
        for (std::size_t i = 0; i < axes; ++i)
            tables.principal(hypothesis, static_cast<Eigen::Index>(i)) = value(i);
        tables.angle_deg[hypothesis] = value(axes);
        tables.slope[hypothesis] = value(axes + 1);
        tables.guess[hypothesis] = value(axes + 2);
        tables.lapse[hypothesis] = value(axes + 3);
        for (std::size_t i = 0; i < indices.size(); ++i) {
            const std::vector<double>& prior = grid.parameters[i]->prior;
            tables.log_prior[hypothesis] += prior.empty() ? 0.0 : std::log(prior[indices[i]]);
        }
    }
    tables.log_prior.array() -= tables.log_prior.maxCoeff();
}

// The intensity sqrt(x' A x) of a level on two or three dimensions.
double intensity_under(const BayesianTables& tables, Eigen::Index hypothesis, std::vector<double> x) {
    if (x.size() == 2) {
        const double angle = radians(tables.angle_deg[hypothesis]);
        x = {std::cos(angle) * x[0] + std::sin(angle) * x[1],
             -std::sin(angle) * x[0] + std::cos(angle) * x[1]};
    }
    double sum = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double share = x[i] / tables.principal(hypothesis, static_cast<Eigen::Index>(i));
        sum += share * share;
    }
    return std::sqrt(sum);
}

std::vector<std::vector<double>> directions_of(std::size_t dimensions) {
    std::vector<std::vector<double>> found;
    for (std::size_t i = 0; i < dimensions; ++i) {
        found.emplace_back(dimensions, 0.0);
        found.back()[i] = 1.0;
    }
    if (dimensions == 1)
        return found;
    const double part = 1.0 / std::sqrt(static_cast<double>(dimensions));
    for (std::size_t signs = 0; signs < (std::size_t{1} << (dimensions - 1)); ++signs) {
        found.emplace_back(dimensions, part);
        for (std::size_t i = 1; i < dimensions; ++i)
            if ((signs >> (i - 1)) & 1U)
                found.back()[i] = -part;
    }
    return found;
}

void fill_thresholds(const BayesianAdaptiveSpec& spec, BayesianTables& tables) {
    tables.directions = directions_of(spec.thresholds.size());
    tables.threshold_along.resize(tables.slope.size(), static_cast<Eigen::Index>(tables.directions.size()));
    for (Eigen::Index hypothesis = 0; hypothesis < tables.slope.size(); ++hypothesis) {
        if (spec.thresholds.size() == 1) {
            const double threshold = tables.principal(hypothesis, 0);
            tables.threshold_along(hypothesis, 0) =
                spec.form == PsychometricForm::weibull ? std::log10(threshold) : threshold;
            continue;
        }
        for (std::size_t i = 0; i < tables.directions.size(); ++i)
            tables.threshold_along(hypothesis, static_cast<Eigen::Index>(i)) =
                -std::log10(intensity_under(tables, hypothesis, tables.directions[i]));
    }
}

double plog2(double p) {
    return p * std::log2(p);
}

// The entropy of an answer whose success has this probability. The probability is a mean in single precision,
// so that rounding may take it to 1 or above.
double entropy_of(double mean_success) {
    const double success = std::clamp(mean_success, kLeastProbability, 1.0 - kLeastProbability);
    return -plog2(success) - plog2(1.0 - success);
}

void fill_probabilities(const BayesianAdaptiveSpec& spec, BayesianTables& tables) {
    const auto levels = static_cast<Eigen::Index>(spec.levels.size());
    const Eigen::Index hypotheses = tables.slope.size();
    for (FloatTable* table : {&tables.success, &tables.failure, &tables.entropy_bits})
        table->resize(levels, hypotheses);
    for (Eigen::Index i = 0; i < levels; ++i) {
        const Level& level = spec.levels[static_cast<std::size_t>(i)];
        for (Eigen::Index hypothesis = 0; hypothesis < hypotheses; ++hypothesis) {
            const bool line = level.size() == 1;
            const PsychometricFunction function{spec.form, line ? tables.principal(hypothesis, 0) : 1.0,
                                                tables.slope[hypothesis], tables.guess[hypothesis],
                                                tables.lapse[hypothesis]};
            const double x = line ? level.front() : intensity_under(tables, hypothesis, level);
            const AnswerChances chances = answer_chances(function, x);
            const double success = std::max(kLeastProbability, chances.success);
            const double failure = std::max(kLeastProbability, chances.failure);
            tables.success(i, hypothesis) = static_cast<float>(success);
            tables.failure(i, hypothesis) = static_cast<float>(failure);
            tables.entropy_bits(i, hypothesis) = static_cast<float>(-plog2(success) - plog2(failure));
        }
    }
}

}  // namespace

BayesianTables bayesian_tables(const BayesianAdaptiveSpec& spec) {
    BayesianTables tables;
    fill_hypotheses(spec, tables);
    fill_thresholds(spec, tables);
    fill_probabilities(spec, tables);
    return tables;
}

Eigen::VectorXd normalised(const Eigen::VectorXd& log_weights) {
    const Eigen::VectorXd weights = (log_weights.array() - log_weights.maxCoeff()).exp();
    return weights / weights.sum();
}

Eigen::VectorXd expected_information_bits(const BayesianTables& tables,
                                          const Eigen::VectorXd& log_posterior) {
    const Eigen::VectorXf weights = normalised(log_posterior).cast<float>();
    const Eigen::VectorXd success = (tables.success * weights).cast<double>();
    const Eigen::VectorXd doubt_bits = (tables.entropy_bits * weights).cast<double>();
    return success.unaryExpr(&entropy_of) - doubt_bits;
}

}  // namespace isoseam
