#include "analysis/statistics/serial_correlation.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/statistics/distributions.h"

namespace isoseam {
namespace {

// The sums of e_t e_{t+1} and of e_t^2, and of what their distribution needs.
struct SerialSums {
    double products = 0.0;
    double squares = 0.0;
    double whole = 0.0;  // the sum of squares before the line was taken
    double degrees = 0.0;
    double trace = 0.0;            // of the matrix of the quadratic form `products`
    double trace_of_square = 0.0;  // of its square
};

double neighbours_of(const std::vector<double>& values, std::size_t i) {
    return (i > 0 ? values[i - 1] : 0.0) + (i + 1 < values.size() ? values[i + 1] : 0.0);
}

// With L, which has 1/2 beside its diagonal, e' L e is the sum of products. What is taken from the settings
// lies along two orthogonal unit vectors q; so e = (1 - q q') y, and the form's matrix is
// (1 - q q') L (1 - q q').
void add_session(SerialSums& sums, const std::vector<double>& settings) {
    const std::size_t n = settings.size();
    const auto count = static_cast<double>(n);
    std::vector<double> level(n, 1.0 / std::sqrt(count));
    std::vector<double> line(n);
    const double length = std::sqrt(count * (count * count - 1.0) / 12.0);
    for (std::size_t i = 0; i < n; ++i)
        line[i] = (static_cast<double>(i) - 0.5 * (count - 1.0)) / length;

    double mean = 0.0;  // from the first setting, so that a large common part does not cost digits
    for (const double setting : settings)
        mean += (setting - settings.front()) / count;
    std::vector<double> left(n);
    double along_line = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        left[i] = settings[i] - settings.front() - mean;
        along_line += left[i] * line[i];
        sums.whole += left[i] * left[i];
    }
    for (std::size_t i = 0; i < n; ++i)
        left[i] -= along_line * line[i];
    for (std::size_t i = 0; i < n; ++i) {
        sums.squares += left[i] * left[i];
        if (i + 1 < n)
            sums.products += left[i] * left[i + 1];
    }

    sums.degrees += count - 2.0;
    sums.trace_of_square += 0.5 * (count - 1.0);
    for (const std::vector<double>* taken : {&level, &line}) {
        double with_itself = 0.0;  // q' L q
        double squared = 0.0;      // |L q|^2
        for (std::size_t i = 0; i < n; ++i) {
            const double moved = 0.5 * neighbours_of(*taken, i);
            with_itself += (*taken)[i] * moved;
            squared += moved * moved;
        }
        sums.trace -= with_itself;
        // Level and line do not mix: one is even about the session's middle and the other one is odd.
        sums.trace_of_square += with_itself * with_itself - 2.0 * squared;
    }
}

}  // namespace

std::optional<SerialCorrelation> serial_correlation(std::span<const std::vector<double>> sessions) {
    SerialSums sums;
    SerialCorrelation result;
    for (const std::vector<double>& settings : sessions) {
        if (settings.size() < kFewestForSerialCorrelation)
            continue;
        add_session(sums, settings);
        ++result.sessions;
        result.settings += settings.size();
    }
    constexpr double kRounding = 1e-20;
    if (result.sessions == 0 || !(sums.squares > kRounding * sums.whole))
        return std::nullopt;
    result.lag_one = sums.products / sums.squares;
    result.expected = sums.trace / sums.degrees;
    const double second_moment =
        (2.0 * sums.trace_of_square + sums.trace * sums.trace) / (sums.degrees * (sums.degrees + 2.0));
    const double variance = second_moment - result.expected * result.expected;
    // The beta distribution of (1 + r) / 2. A beta of a and b over its complement, b x / (a (1 - x)), is F.
    const double mean = 0.5 * (1.0 + result.expected);
    const double sum = mean * (1.0 - mean) / (0.25 * variance) - 1.0;
    const double a = mean * sum;
    const double b = (1.0 - mean) * sum;
    const double x =
        std::clamp(0.5 * (1.0 + result.lag_one), 0.0, 1.0 - std::numeric_limits<double>::epsilon());
    const double above = f_upper_p(b * x / (a * (1.0 - x)), 2.0 * a, 2.0 * b);
    result.p = std::min(1.0, 2.0 * std::min(above, 1.0 - above));
    return result;
}

}  // namespace isoseam
