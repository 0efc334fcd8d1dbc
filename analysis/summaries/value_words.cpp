#include "analysis/summaries/value_words.h"

#include <fmt/format.h>

#include "analysis/summaries/text_layout.h"

namespace isoseam {

std::string p_words(double p) {
    constexpr double kSmallestShown = 0.001;
    return p < kSmallestShown ? "<0.001" : fixed(p, 3);
}

std::string value_words(const std::optional<double>& value, double factor, int decimals) {
    return value ? fixed(factor * *value, decimals) : "n.d.";
}

std::string interval_words(const std::optional<Interval>& interval, double factor, int decimals) {
    return interval ? fmt::format("{} to {}", fixed(factor * interval->low, decimals),
                                  fixed(factor * interval->high, decimals))
                    : "n.d.";
}

std::string interval_words(const FitInterval& interval, double factor, int decimals) {
    if (!interval.low && !interval.high)
        return "open";
    if (!interval.low)
        return "up to " + fixed(factor * *interval.high, decimals);
    if (!interval.high)
        return "from " + fixed(factor * *interval.low, decimals);
    return fmt::format("{} to {}", fixed(factor * *interval.low, decimals),
                       fixed(factor * *interval.high, decimals));
}

}  // namespace isoseam
