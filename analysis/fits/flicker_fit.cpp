#include "analysis/fits/flicker_fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/statistics/distributions.h"
#include "base/errors.h"

namespace isoseam {
namespace {

double luminance(const Eigen::Vector2d& lm, double share) {
    return share * lm[0] + (1.0 - share) * lm[1];
}

double residual(const FlickerNull& null, double share) {
    return std::log(luminance(null.adjusted, share) / luminance(null.reference, share));
}

double sum_of_squares(std::span<const FlickerNull> nulls, double share) {
    double sum = 0.0;
    for (const FlickerNull& null : nulls) {
        const double r = residual(null, share);
        sum += r * r;
    }
    return sum;
}

constexpr int kGridSteps = 20;
constexpr double kShareTolerance = 1e-8;  // far below what any settings tell

// Golden-section search about the best point of a grid.
double least_share(std::span<const FlickerNull> nulls) {
    int best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (int i = 0; i <= kGridSteps; ++i) {
        const double q = sum_of_squares(nulls, static_cast<double>(i) / kGridSteps);
        if (q < least) {
            least = q;
            best = i;
        }
    }
    const double golden = 0.5 * (std::sqrt(5.0) - 1.0);
    double low = static_cast<double>(std::max(0, best - 1)) / kGridSteps;
    double high = static_cast<double>(std::min(kGridSteps, best + 1)) / kGridSteps;
    double inner_low = high - golden * (high - low);
    double inner_high = low + golden * (high - low);
    double q_low = sum_of_squares(nulls, inner_low);
    double q_high = sum_of_squares(nulls, inner_high);
    while (high - low > kShareTolerance) {
        if (q_low <= q_high) {
            high = inner_high;
            inner_high = inner_low;
            q_high = q_low;
            inner_low = high - golden * (high - low);
            q_low = sum_of_squares(nulls, inner_low);
        } else {
            low = inner_low;
            inner_low = inner_high;
            q_low = q_high;
            inner_high = low + golden * (high - low);
            q_high = sum_of_squares(nulls, inner_high);
        }
    }
    // At an end of its range the share is that end.
    for (const double end : {0.0, 1.0}) {
        if (sum_of_squares(nulls, end) <= std::min(q_low, q_high))
            return end;
    }
    return 0.5 * (low + high);
}

// Goes from `share` towards `end` (0 or 1) and finds where the sum of squares first exceeds `limit`. There is
// no result if it never does.
std::optional<double> crossing(std::span<const FlickerNull> nulls, double share, double end, double limit) {
    double inside = share;
    double outside = end;
    bool found = false;
    for (int i = 1; i <= kGridSteps && !found; ++i) {
        outside = std::lerp(share, end, static_cast<double>(i) / kGridSteps);
        found = !(sum_of_squares(nulls, outside) <= limit);
        inside = found ? inside : outside;
    }
    if (!found)
        return std::nullopt;
    while (std::abs(outside - inside) > kShareTolerance) {
        const double middle = 0.5 * (inside + outside);
        (sum_of_squares(nulls, middle) <= limit ? inside : outside) = middle;
    }
    return inside;
}

void add_conditions(std::span<const FlickerNull> nulls, FlickerFit& fit) {
    std::vector<double> squares;
    for (const FlickerNull& null : nulls) {
        const auto condition = static_cast<std::size_t>(null.condition);
        fit.conditions.resize(std::max(fit.conditions.size(), condition + 1));
        FlickerConditionFit& entry = fit.conditions[condition];
        ++entry.settings;
        entry.residual += residual(null, fit.share);
    }
    for (FlickerConditionFit& entry : fit.conditions) {
        if (entry.settings > 0)
            entry.residual /= static_cast<double>(entry.settings);
    }
    squares.resize(fit.conditions.size());
    for (const FlickerNull& null : nulls) {
        const auto condition = static_cast<std::size_t>(null.condition);
        const double deviation = residual(null, fit.share) - fit.conditions[condition].residual;
        squares[condition] += deviation * deviation;
    }
    double within = 0.0;
    double filled = 0.0;
    for (std::size_t i = 0; i < squares.size(); ++i) {
        FlickerConditionFit& entry = fit.conditions[i];
        if (entry.settings > 1)
            entry.sd = std::sqrt(squares[i] / (static_cast<double>(entry.settings) - 1.0));
        within += squares[i];
        filled += entry.settings > 0 ? 1.0 : 0.0;
    }
    const double below = static_cast<double>(nulls.size()) - filled;
    if (filled < 2.0 || !(below > 0.0) || !(within > 0.0))
        return;
    const double between = std::max(0.0, sum_of_squares(nulls, fit.share) - within);
    fit.agreement_p = f_upper_p(between / (filled - 1.0) / (within / below), filled - 1.0, below);
}

}  // namespace

std::optional<FlickerFit> fit_flicker(std::span<const FlickerNull> nulls) {
    bool told = false;
    for (const FlickerNull& null : nulls) {
        ISOSEAM_CHECK(null.condition >= 0);
        ISOSEAM_CHECK((null.adjusted.array() > 0.0).all() && (null.reference.array() > 0.0).all(),
                      fmt::format("L, M {} {} and {} {}", null.adjusted[0], null.adjusted[1],
                                  null.reference[0], null.reference[1]));
        told |= tells_share(null.adjusted, null.reference);
    }
    if (nulls.size() < 2 || !told)
        return std::nullopt;
    FlickerFit fit;
    fit.settings = nulls.size();
    fit.share = least_share(nulls);
    const double degrees = static_cast<double>(nulls.size()) - 1.0;
    const double least = sum_of_squares(nulls, fit.share);
    fit.noise = std::sqrt(least / degrees);
    constexpr double kProbability = 0.95;
    const double limit = least * (1.0 + f_quantile(kProbability, 1.0, degrees) / degrees);
    const std::optional<double> low = crossing(nulls, fit.share, 0.0, limit);
    const std::optional<double> high = crossing(nulls, fit.share, 1.0, limit);
    fit.open_low = !low.has_value();
    fit.open_high = !high.has_value();
    fit.share_95 = {low.value_or(0.0), high.value_or(1.0)};
    add_conditions(nulls, fit);
    return fit;
}

bool tells_share(const Eigen::Vector2d& adjusted, const Eigen::Vector2d& reference) {
    return std::abs(std::log(adjusted[0] / adjusted[1]) - std::log(reference[0] / reference[1])) >=
           kSameRatio;
}

double ratio_of_share(double share) {
    return share < 1.0 ? share / (1.0 - share) : std::numeric_limits<double>::infinity();
}

}  // namespace isoseam
