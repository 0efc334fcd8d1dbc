#include "analysis/fits/signal_detection.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <utility>

#include "analysis/statistics/distributions.h"

namespace isoseam {
namespace {

constexpr double kRoot2 = std::numbers::sqrt2;
// Normal deviates are searched up to here: a rate differs from 0 or 1 by less than 1e-15 there.
constexpr double kFarthest = 8.0;
constexpr double kSmallestStep = 1e-7;

// A pair of parameters: the sensitivity, which is z(H) - z(F) or the d' of differencing, and the criterion.
enum class Parameter { sensitivity, criterion };
struct Pair {
    double sensitivity = 0.0;
    double criterion = 0.0;
};
struct Range {
    double low = 0.0;
    double high = 0.0;
};
struct Rates {
    double hits = 0.0;
    double misses = 0.0;
    double false_alarms = 0.0;
    double rejections = 0.0;
};

// Counts of a rule, and the likelihood of its two parameters.
class Likelihood {
  public:
    Likelihood(bool differencing, const DetectionCounts& counts)
        : differencing_(differencing), counts_(counts) {}

    // Where a free parameter is looked for. Intervals end at half of it, so that both rates can come to 0 or 1
    // whatever the other parameter is.
    Range range(Parameter parameter) const {
        const double far = (parameter == Parameter::criterion ? 2.0 : 4.0) * kFarthest;
        return differencing_ ? Range{0.0, kRoot2 * far} : Range{-far, far};
    }
    double at(const Pair& pair) const {
        const Rates rates = differencing_ ? by_difference(pair) : by_deviates(pair);
        return part(counts_.hits, rates.hits) + part(counts_.signal_trials - counts_.hits, rates.misses) +
               part(counts_.false_alarms, rates.false_alarms) +
               part(counts_.noise_trials - counts_.false_alarms, rates.rejections);
    }
    // The largest likelihood where one parameter is held.
    double profile(Parameter held, double value) const;
    FitInterval interval_95(Parameter parameter, double inside) const;

  private:
    static double part(int count, double rate) { return count == 0 ? 0.0 : count * std::log(rate); }
    static Rates by_deviates(const Pair& pair) {
        const double hits = 0.5 * pair.sensitivity - pair.criterion;
        const double false_alarms = -0.5 * pair.sensitivity - pair.criterion;
        return {normal_share(hits), normal_share(-hits), normal_share(false_alarms),
                normal_share(-false_alarms)};
    }
    static Rates by_difference(const Pair& pair) {
        const auto [d, k] = pair;
        const double hits = normal_share((d - k) / kRoot2) + normal_share((-d - k) / kRoot2);
        const double misses = std::max(normal_share((k - d) / kRoot2) - normal_share((-k - d) / kRoot2), 0.0);
        return {hits, misses, 2.0 * normal_share(-k / kRoot2), std::erf(0.5 * k)};
    }

    bool differencing_;
    DetectionCounts counts_;
};

double Likelihood::profile(Parameter held, double value) const {
    const Parameter free = held == Parameter::criterion ? Parameter::sensitivity : Parameter::criterion;
    const auto at_free = [&](double other) {
        return at(held == Parameter::criterion ? Pair{other, value} : Pair{value, other});
    };
    const Range range_of_free = range(free);
    // The best of some points, and then the golden section between its neighbours.
    constexpr int kPoints = 40;
    const double step = (range_of_free.high - range_of_free.low) / kPoints;
    int best = 0;
    for (int i = 1; i <= kPoints; ++i) {
        if (at_free(range_of_free.low + i * step) > at_free(range_of_free.low + best * step))
            best = i;
    }
    double low = std::max(range_of_free.low + (best - 1) * step, range_of_free.low);
    double high = std::min(range_of_free.low + (best + 1) * step, range_of_free.high);
    double best_value = at_free(range_of_free.low + best * step);
    constexpr double kGolden = 0.6180339887498949;
    double left = high - kGolden * (high - low);
    double right = low + kGolden * (high - low);
    double at_left = at_free(left);
    double at_right = at_free(right);
    while (high - low > 1e-6) {
        best_value = std::max({best_value, at_left, at_right});
        if (at_left < at_right) {
            low = left;
            left = std::exchange(right, low + kGolden * (high - low));
            at_left = std::exchange(at_right, at_free(right));
        } else {
            high = right;
            right = std::exchange(left, high - kGolden * (high - low));
            at_right = std::exchange(at_left, at_free(left));
        }
    }
    return best_value;
}

// A binomial with a rate of its own for signal and for noise is the best that any parameters can do, unless
// the rule knows no rates of hits below those of false alarms.
FitInterval Likelihood::interval_95(Parameter parameter, double inside) const {
    const Range whole = range(parameter);
    const auto share = [](int count, int trials) { return static_cast<double>(count) / trials; };
    const double hits = share(counts_.hits, counts_.signal_trials);
    const double false_alarms = share(counts_.false_alarms, counts_.noise_trials);
    const double free = part(counts_.hits, hits) + part(counts_.signal_trials - counts_.hits, 1.0 - hits) +
                        part(counts_.false_alarms, false_alarms) +
                        part(counts_.noise_trials - counts_.false_alarms, 1.0 - false_alarms);
    const double largest =
        differencing_ && hits <= false_alarms ? profile(Parameter::sensitivity, 0.0) : free;
    const double least = largest - 0.5 * chi_square_quantile(0.95, 1.0);
    const auto end = [&](double far) -> std::optional<double> {
        if (profile(parameter, far) >= least)
            return std::nullopt;
        double within = inside;
        double beyond = far;
        while (std::abs(beyond - within) > kSmallestStep) {
            const double middle = 0.5 * (within + beyond);
            (profile(parameter, middle) >= least ? within : beyond) = middle;
        }
        return within;
    };
    FitInterval interval{end(0.5 * whole.low), end(0.5 * whole.high)};
    if (differencing_ && !interval.low)
        interval.low = 0.0;  // Neither d' nor k goes below 0, so that this end is no open one.
    return interval;
}

// The d' of the rule that classes each observation by itself, from z(H) - z(F).
double independent_d_prime(double difference) {
    const double right = normal_share(0.5 * std::max(difference, 0.0));
    const double each = 0.5 * (1.0 + std::sqrt(std::max(2.0 * right - 1.0, 0.0)));
    return each < 1.0 ? 2.0 * normal_quantile(each) : 2.0 * kFarthest;
}

// The d' at which the rule of differences gives this rate of hits with the criterion k.
double differencing_d_prime(double hits, double k) {
    const auto rate_at = [&](double d) {
        return normal_share((d - k) / kRoot2) + normal_share((-d - k) / kRoot2);
    };
    double low = 0.0;
    double high = 4.0 * kRoot2 * kFarthest;
    if (hits <= rate_at(low))
        return 0.0;
    while (high - low > kSmallestStep) {
        const double middle = 0.5 * (low + high);
        (rate_at(middle) < hits ? low : high) = middle;
    }
    return low;
}

FitInterval mapped(const FitInterval& interval, const std::function<double(double)>& map) {
    FitInterval result;
    if (interval.low)
        result.low = map(*interval.low);
    if (interval.high)
        result.high = map(*interval.high);
    return result;
}

struct EstimatedRates {
    double hits = 0.0;
    double false_alarms = 0.0;
    bool corrected = false;
};

EstimatedRates estimated_rates(const DetectionCounts& counts) {
    const auto extreme = [](int count, int trials) { return count == 0 || count == trials; };
    const bool corrected =
        extreme(counts.hits, counts.signal_trials) || extreme(counts.false_alarms, counts.noise_trials);
    const double more = corrected ? 0.5 : 0.0;
    return {(counts.hits + more) / (counts.signal_trials + 2.0 * more),
            (counts.false_alarms + more) / (counts.noise_trials + 2.0 * more), corrected};
}

DetectionFit by_difference(const DetectionCounts& counts, const EstimatedRates& rates) {
    // Where equal pairs are called different as often as others, one rate stands for both.
    const double pooled = (rates.hits * counts.signal_trials + rates.false_alarms * counts.noise_trials) /
                          (counts.signal_trials + counts.noise_trials);
    const double false_alarms = rates.hits > rates.false_alarms ? rates.false_alarms : pooled;
    DetectionFit fit;
    fit.criterion = -kRoot2 * normal_quantile(0.5 * false_alarms);
    fit.d_prime = differencing_d_prime(rates.hits, fit.criterion);
    const Likelihood likelihood(true, counts);
    fit.d_prime_95 = likelihood.interval_95(Parameter::sensitivity, fit.d_prime);
    fit.criterion_95 = likelihood.interval_95(Parameter::criterion, fit.criterion);
    return fit;
}

DetectionFit by_deviates(DetectionModel model, const DetectionCounts& counts, const EstimatedRates& rates) {
    const double hits = normal_quantile(rates.hits);
    const double false_alarms = normal_quantile(rates.false_alarms);
    const Likelihood likelihood(false, counts);
    const auto d_prime = [&](double difference) {
        if (model == DetectionModel::two_alternative)
            return difference / kRoot2;
        return model == DetectionModel::yes_no ? difference : independent_d_prime(difference);
    };
    DetectionFit fit;
    fit.d_prime = d_prime(hits - false_alarms);
    fit.d_prime_95 = mapped(likelihood.interval_95(Parameter::sensitivity, hits - false_alarms), d_prime);
    fit.criterion = -0.5 * (hits + false_alarms);
    fit.criterion_95 = likelihood.interval_95(Parameter::criterion, fit.criterion);
    if (model == DetectionModel::same_different_independent && !fit.d_prime_95.low)
        fit.d_prime_95.low = 0.0;
    return fit;
}

}  // namespace

std::optional<DetectionFit> fit_detection(DetectionModel model, const DetectionCounts& counts) {
    ISOSEAM_CHECK_BETWEEN(counts.hits, 0, counts.signal_trials);
    ISOSEAM_CHECK_BETWEEN(counts.false_alarms, 0, counts.noise_trials);
    if (counts.signal_trials == 0 || counts.noise_trials == 0)
        return std::nullopt;
    const EstimatedRates rates = estimated_rates(counts);
    DetectionFit fit = model == DetectionModel::same_different_differencing
                           ? by_difference(counts, rates)
                           : by_deviates(model, counts, rates);
    if (rates.corrected) {
        fit.notes.push_back(
            "A rate is 0 or 1, for which d' would be infinite. So 0.5 was added to the hits and to the false "
            "alarms, and 1 to both numbers of trials (the log-linear rule, Hautus 1995). The estimates "
            "follow "
            "from these rates. The intervals follow from the counts themselves.");
    }
    if (rates.hits < rates.false_alarms) {
        fit.notes.push_back(
            "There are more false alarms than hits, in proportion. Chance does that where d' is small. If it "
            "is more than chance, the answers may have been confused.");
    }
    return fit;
}

}  // namespace isoseam
