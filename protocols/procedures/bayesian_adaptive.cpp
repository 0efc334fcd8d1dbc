#include "protocols/procedures/bayesian_adaptive.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "protocols/procedures/bayesian_tables.h"

namespace isoseam {
namespace {

// Levels whose expected information differs by less than this count as equal, because the tables have single
// precision. The first of such levels is taken, so that the choice does not depend on the last bit of a sum.
constexpr double kSameInformationBits = 1e-5;

void check_grid(SpecFaults& found, const std::string& key, const GriddedParameter& grid,
                const std::function<bool(double)>& allowed, const std::string& wanted) {
    found.require(!grid.values.empty(), key, "there is no value", "write one or more");
    for (const double value : grid.values)
        found.require(allowed(value), key, fmt::format("{:g} is not possible", value), wanted);
    found.require(std::adjacent_find(grid.values.begin(), grid.values.end(), std::greater_equal<>{}) ==
                      grid.values.end(),
                  key, "the values do not rise", "write them from the smallest to the largest, each once");
    found.require(grid.prior.empty() || grid.prior.size() == grid.values.size(), key + ".prior",
                  fmt::format("{} weights for {} values", grid.prior.size(), grid.values.size()),
                  "write one for each value, or none");
    found.require(std::all_of(grid.prior.begin(), grid.prior.end(),
                              [](double weight) { return weight > 0.0 && std::isfinite(weight); }),
                  key + ".prior", "a weight is not above 0", "leave out the value that cannot be");
}

void check_levels(SpecFaults& found, const BayesianAdaptiveSpec& spec) {
    found.require(!spec.levels.empty(), "levels", "there is no level", "write at least one");
    for (std::size_t i = 0; i < spec.levels.size(); ++i) {
        const std::string key = fmt::format("levels[{}]", i);
        const bool sound = is_level(spec.levels[i]) && spec.levels[i].size() == spec.levels.front().size();
        found.require(sound, key, "not one to three finite numbers, as many as in the first level",
                      "give every level the same dimensions");
        if (sound && spec.levels[i].size() == 1 && spec.form == PsychometricForm::weibull)
            found.require(spec.levels[i].front() >= 0.0, key,
                          fmt::format("{:g} is below 0", spec.levels[i].front()),
                          "a weibull knows levels from 0 upwards; choose logistic or cumulative_normal");
    }
}

void check_dimensions(SpecFaults& found, const BayesianAdaptiveSpec& spec) {
    const std::size_t dimensions = spec.levels.empty() ? 1 : spec.levels.front().size();
    found.require(spec.thresholds.size() == dimensions, "threshold",
                  fmt::format("{} lists of thresholds for {} dimensions", spec.thresholds.size(), dimensions),
                  "write one for each dimension");
    found.require(dimensions == 1 || spec.form == PsychometricForm::weibull, "form",
                  to_string(spec.form) + " on more than one dimension", "choose weibull");
    found.require(dimensions == 2 || spec.angle_deg.values == std::vector<double>{0.0}, "angle",
                  "an angle where there are not two dimensions", "leave it out");
}

void check_size(SpecFaults& found, const BayesianAdaptiveSpec& spec) {
    double hypotheses = 1.0;
    for (const GriddedParameter& threshold : spec.thresholds)
        hypotheses *= static_cast<double>(threshold.values.size());
    for (const GriddedParameter* grid : {&spec.angle_deg, &spec.slope, &spec.guess, &spec.lapse})
        hypotheses *= static_cast<double>(grid->values.size());
    found.require(hypotheses <= kMostHypotheses, "threshold",
                  fmt::format("{:g} hypotheses, more than {:g}", hypotheses, kMostHypotheses),
                  "make a grid coarser, or fix a parameter");
    const double cells = hypotheses * static_cast<double>(spec.levels.size());
    found.require(cells <= kMostBayesianCells, "levels",
                  fmt::format("{:g} hypotheses times {} levels are more than {:g}", hypotheses,
                              spec.levels.size(), kMostBayesianCells),
                  "offer fewer levels, or make a grid coarser");
}

double widest_gap(const BayesianAdaptiveSpec& spec) {
    const auto on_scale = [&](double value) {
        return spec.form == PsychometricForm::weibull ? std::log10(value) : value;
    };
    double widest = 0.0;
    for (const GriddedParameter& threshold : spec.thresholds)
        for (std::size_t i = 1; i < threshold.values.size(); ++i)
            widest = std::max(widest, on_scale(threshold.values[i]) - on_scale(threshold.values[i - 1]));
    return widest;
}

void check_stop(SpecFaults& found, const BayesianAdaptiveSpec& spec) {
    found.require(spec.trials >= 1, "trials", fmt::format("{} trials", spec.trials), "write at least 1");
    if (!spec.precision)
        return;
    found.require(*spec.precision > 0.0, "precision",
                  fmt::format("{:g} is no standard deviation", *spec.precision), "write a number above 0");
    // A grid that has exactly the wanted step must pass, however its values are rounded.
    constexpr double kRounding = 1.0 + 1e-9;
    const double gap = widest_gap(spec);
    found.require(
        !(*spec.precision > 0.0) || gap <= *spec.precision * kRounding, "threshold",
        fmt::format("values {:g} apart cannot show a standard deviation of {:g}", gap, *spec.precision),
        "write a finer grid, or ask for less precision");
}

double largest(const GriddedParameter& grid) {
    return grid.values.empty() ? 0.0 : *std::max_element(grid.values.begin(), grid.values.end());
}

BayesianAdaptiveResult::Estimate estimate(const Eigen::VectorXd& weights, const Eigen::VectorXd& values) {
    const double mean = weights.dot(values);
    return {mean, std::sqrt(weights.dot((values.array() - mean).square().matrix()))};
}

bool is_precise(const BayesianAdaptiveSpec& spec, const BayesianTables& tables,
                const Eigen::VectorXd& weights) {
    if (!spec.precision)
        return false;
    for (Eigen::Index i = 0; i < tables.threshold_along.cols(); ++i)
        if (!(estimate(weights, tables.threshold_along.col(i)).sd <= *spec.precision))
            return false;
    return true;
}

int most_telling_level(const BayesianAdaptiveState& state) {
    const Eigen::VectorXd bits = expected_information_bits(*state.tables, state.log_posterior);
    const double enough = bits.maxCoeff() - kSameInformationBits;
    return static_cast<int>(
        std::find_if(bits.begin(), bits.end(), [&](double value) { return value >= enough; }) - bits.begin());
}

}  // namespace

std::vector<Fault> faults(const BayesianAdaptiveSpec& spec) {
    SpecFaults found;
    check_levels(found, spec);
    check_dimensions(found, spec);
    const auto positive = [](double value) { return value > 0.0 && std::isfinite(value); };
    const auto share = [](double value) { return value >= 0.0 && value < 1.0; };
    for (const GriddedParameter& threshold : spec.thresholds)
        if (spec.form == PsychometricForm::weibull)
            check_grid(found, "threshold", threshold, positive, "write numbers above 0");
        else
            check_grid(
                found, "threshold", threshold, [](double value) { return std::isfinite(value); },
                "write finite numbers");
    check_grid(
        found, "angle", spec.angle_deg, [](double value) { return value >= 0.0 && value < 180.0; },
        "write angles from 0 to below 180 degrees");
    check_grid(found, "slope", spec.slope, positive, "write numbers above 0");
    check_grid(found, "guess", spec.guess, share, "write numbers from 0 to below 1");
    check_grid(found, "lapse", spec.lapse, share, "write numbers from 0 to below 1");
    found.require(largest(spec.guess) + largest(spec.lapse) < 1.0, "lapse",
                  fmt::format("guess {:g} and lapse {:g} leave nothing to the level", largest(spec.guess),
                              largest(spec.lapse)),
                  "let their sum be below 1");
    check_stop(found, spec);
    check_size(found, spec);
    return found.all();
}

BayesianAdaptiveState start(const BayesianAdaptiveSpec& spec, std::uint64_t) {
    throw_if_any(faults(spec));
    BayesianAdaptiveState state;
    state.tables = std::make_shared<const BayesianTables>(bayesian_tables(spec));
    state.log_posterior = state.tables->log_prior;
    state.next_level = most_telling_level(state);
    return state;
}

std::optional<LevelRequest> next_trial(const BayesianAdaptiveSpec& spec, const BayesianAdaptiveState& state) {
    if (state.finished)
        return std::nullopt;
    return LevelRequest{spec.levels[static_cast<std::size_t>(state.next_level)], 0};
}

BayesianAdaptiveState respond(const BayesianAdaptiveSpec& spec, BayesianAdaptiveState state, bool success) {
    ISOSEAM_CHECK(!state.finished, "the run has ended");
    const FloatTable& answer = success ? state.tables->success : state.tables->failure;
    state.log_posterior.array() += answer.row(state.next_level).transpose().cast<double>().array().log();
    state.log_posterior.array() -= state.log_posterior.maxCoeff();
    ++state.answered;
    state.finished =
        state.answered == spec.trials || is_precise(spec, *state.tables, normalised(state.log_posterior));
    if (!state.finished)
        state.next_level = most_telling_level(state);
    return state;
}

BayesianAdaptiveResult result(const BayesianAdaptiveSpec& spec, const BayesianAdaptiveState& state) {
    const BayesianTables& tables = *state.tables;
    const Eigen::VectorXd weights = normalised(state.log_posterior);
    BayesianAdaptiveResult made;
    for (std::size_t i = 0; i < tables.directions.size(); ++i)
        made.thresholds.push_back(
            {tables.directions[i],
             estimate(weights, tables.threshold_along.col(static_cast<Eigen::Index>(i)))});
    for (Eigen::Index i = 0; i < tables.principal.cols(); ++i) {
        Eigen::VectorXd along = tables.principal.col(i);
        if (spec.form == PsychometricForm::weibull)
            along = along.array().log10();
        made.principal.push_back(estimate(weights, along));
    }
    made.slope = estimate(weights, tables.slope);
    made.guess = estimate(weights, tables.guess);
    made.lapse = estimate(weights, tables.lapse);
    made.trials = state.answered;
    made.precise = is_precise(spec, tables, weights);
    return made;
}

}  // namespace isoseam
