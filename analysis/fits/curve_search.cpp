#include "analysis/fits/curve_search.h"

#include <algorithm>
#include <cmath>

namespace isoseam {
namespace {

// A weibull's threshold is looked for from a thousandth of the lowest level to a thousand times the highest,
// the others' up to this many spans of the levels beyond them. Farther away the levels shown all look alike.
constexpr double kWeibullReach = 1000.0;
constexpr double kSpansBeyond = 20.0;
constexpr int kPointsAmongLevels = 41;
constexpr int kPointsBeyond = 8;
constexpr int kSlopePoints = 13;

// Even between `low` and `high`, then ever wider apart up to the borders.
BoxDimension threshold_dimension(double low, double high, double reach_below, double reach_above) {
    const double span = high - low;
    const double from = low - 0.25 * span;
    const double to = high + 0.25 * span;
    BoxDimension dimension;
    dimension.low = low - reach_below;
    dimension.high = high + reach_above;
    dimension.step = (to - from) / (kPointsAmongLevels - 1);
    for (int i = 0; i < kPointsAmongLevels; ++i)
        dimension.grid.push_back(from + dimension.step * i);
    for (int i = 1; i <= kPointsBeyond; ++i) {
        const double part = std::pow(static_cast<double>(i) / kPointsBeyond, 2.0);
        dimension.grid.push_back(from + part * (dimension.low - from));
        dimension.grid.push_back(to + part * (dimension.high - to));
    }
    std::sort(dimension.grid.begin(), dimension.grid.end());
    dimension.grid.front() = dimension.low;
    dimension.grid.back() = dimension.high;
    return dimension;
}

BoxDimension slope_dimension(double least, double most) {
    BoxDimension dimension{std::log(least), std::log(most), {}, 0.0};
    dimension.step = (dimension.high - dimension.low) / (kSlopePoints - 1);
    for (int i = 0; i < kSlopePoints; ++i)
        dimension.grid.push_back(i + 1 == kSlopePoints ? dimension.high : dimension.low + dimension.step * i);
    return dimension;
}

BoxDimension rate_dimension(double most) {
    return {0.0, most, {0.02 * most, 0.2 * most, 0.6 * most}, 0.1 * most};
}

}  // namespace

CurveSearch::CurveSearch(const FitModel& model, const std::vector<LevelCount>& counts)
    : model_(model), counts_(counts) {
    ISOSEAM_CHECK(!counts.empty());
    const double high = counts.back().level;
    if (model.form == PsychometricForm::weibull) {
        const auto lowest = std::find_if(counts.begin(), counts.end(),
                                         [](const LevelCount& count) { return count.level > 0.0; });
        ISOSEAM_CHECK(lowest != counts.end());
        // One level has no span; some ratio of levels stands for it, so that the search has a step.
        constexpr double kSomeSpan = 0.1;
        const double low = std::min(std::log(lowest->level), std::log(high) - kSomeSpan);
        threshold_ =
            threshold_dimension(low, std::log(high), std::log(kWeibullReach), std::log(kWeibullReach));
        slope_ = slope_dimension(kLeastSlope, kMostWeibullSlope);
    } else {
        double span = high - counts.front().level;
        if (!(span > 0.0))
            span = high == 0.0 ? 1.0 : std::abs(high);
        threshold_ = threshold_dimension(high - span, high, kSpansBeyond * span, kSpansBeyond * span);
        slope_ = slope_dimension(kLeastSlope / span, kMostSlopeOverSpan / span);
    }
    if (!model.guess)
        rates_.push_back(rate_dimension(kMostFreeGuess));
    if (!model.lapse)
        rates_.push_back(rate_dimension(kMostFreeLapse));
}

double CurveSearch::coordinate(CurveParameter parameter, const PsychometricFunction& curve) const {
    if (parameter == CurveParameter::slope)
        return std::log(curve.slope);
    return model_.form == PsychometricForm::weibull ? std::log(curve.threshold) : curve.threshold;
}

double CurveSearch::value(CurveParameter parameter, double coordinate) const {
    const bool logarithmic = parameter == CurveParameter::slope || model_.form == PsychometricForm::weibull;
    return logarithmic ? std::exp(coordinate) : coordinate;
}

const std::vector<double>& CurveSearch::positions(CurveParameter parameter) const {
    return parameter == CurveParameter::slope ? slope_.grid : threshold_.grid;
}

double CurveSearch::step(CurveParameter parameter) const {
    return parameter == CurveParameter::slope ? slope_.step : threshold_.step;
}

PsychometricFunction CurveSearch::curve_at(const std::vector<double>& free, const CurveParameter* held,
                                           double coordinate) const {
    std::size_t next = 0;
    const auto take = [&](CurveParameter parameter) {
        const bool is_held = held != nullptr && *held == parameter;
        return value(parameter, is_held ? coordinate : free[next++]);
    };
    PsychometricFunction curve;
    curve.form = model_.form;
    curve.threshold = take(CurveParameter::threshold);
    curve.slope = take(CurveParameter::slope);
    curve.guess = model_.guess ? *model_.guess : free[next++];
    curve.lapse = model_.lapse ? *model_.lapse : free[next++];
    return curve;
}

CurveMaximum CurveSearch::search(const CurveParameter* held, double coordinate) const {
    std::vector<BoxDimension> dimensions;
    if (held == nullptr || *held != CurveParameter::threshold)
        dimensions.push_back(threshold_);
    if (held == nullptr || *held != CurveParameter::slope)
        dimensions.push_back(slope_);
    dimensions.insert(dimensions.end(), rates_.begin(), rates_.end());
    const BoxMaximum best = maximum_in_box(
        [&](const std::vector<double>& free) {
            return log_likelihood(curve_at(free, held, coordinate), counts_);
        },
        dimensions);
    return {curve_at(best.at, held, coordinate), best.value};
}

CurveMaximum CurveSearch::maximum() const {
    return search(nullptr, 0.0);
}

CurveMaximum CurveSearch::maximum_at(CurveParameter parameter, double coordinate) const {
    return search(&parameter, coordinate);
}

}  // namespace isoseam
