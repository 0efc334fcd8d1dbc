#include "analysis/statistics/mean_square_intervals.h"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/distributions.h"

namespace isoseam {
namespace {

constexpr double kLower = 0.025;
constexpr double kUpper = 0.975;

}  // namespace

Interval expectation_interval_95(const MeanSquare& square) {
    const double sum = square.degrees * square.value;
    return {sum / chi_square_quantile(kUpper, square.degrees),
            sum / chi_square_quantile(kLower, square.degrees)};
}

Interval difference_interval_95(const MeanSquare& first, const MeanSquare& second, double n) {
    const double largest_f = f_quantile(kUpper, first.degrees, second.degrees);
    const double smallest_f = f_quantile(kLower, first.degrees, second.degrees);
    const double g1 = 1.0 - first.degrees / chi_square_quantile(kUpper, first.degrees);
    const double h1 = first.degrees / chi_square_quantile(kLower, first.degrees) - 1.0;
    const double g2 = 1.0 - second.degrees / chi_square_quantile(kUpper, second.degrees);
    const double h2 = second.degrees / chi_square_quantile(kLower, second.degrees) - 1.0;
    const auto square = [](double x) { return x * x; };
    const double g12 = (square(largest_f - 1.0) - square(g1 * largest_f) - square(h2)) / largest_f;
    const double h12 = (square(1.0 - smallest_f) - square(h1 * smallest_f) - square(g2)) / smallest_f;
    const double below =
        square(g1 * first.value) + square(h2 * second.value) + g12 * first.value * second.value;
    const double above =
        square(h1 * first.value) + square(g2 * second.value) + h12 * first.value * second.value;
    const auto root = [](double variance) { return std::sqrt(std::max(0.0, variance)); };
    return {(first.value - second.value - root(below)) / n, (first.value - second.value + root(above)) / n};
}

}  // namespace isoseam
