#include "analysis/statistics/robust.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <limits>

#include "analysis/statistics/distributions.h"
#include "base/errors.h"
#include "base/medians.h"

namespace isoseam {
namespace {

constexpr double kHuber = 1.345;

double clipped(double value, double location, double scale) {
    return std::clamp((value - location) / scale, -kHuber, kHuber);
}

// The sum of clipped deviations falls with the location; steps from the median end where it is 0.
double huber_location(std::span<const double> values, double start, double scale) {
    constexpr int kMostSteps = 200;
    constexpr double kNear = 1e-12;  // of the scale
    double location = start;
    for (int step = 0; step < kMostSteps; ++step) {
        double sum = 0.0;
        for (const double value : values)
            sum += clipped(value, location, scale);
        // Divided by all values, not only those that are not clipped: slower, but it cannot overshoot.
        const double change = scale * sum / static_cast<double>(values.size());
        location += change;
        if (std::abs(change) <= kNear * scale)
            break;
    }
    return location;
}

struct Limit {
    std::size_t count;
    double scales;
};

// far_limit(), from 20,000 (long sets) to 400,000 simulated sets of normal values for each count; computed
// for this project, and computed again, smaller, by a test. Odd and even counts differ, since the median
// does.
constexpr std::array<Limit, 25> kLimits = {{
    {5, 7.667},   {6, 5.403},   {7, 5.683},   {8, 4.810},    {9, 4.941},  {10, 4.482},  {11, 4.563},
    {12, 4.269},  {13, 4.345},  {14, 4.147},  {15, 4.208},   {16, 4.057}, {18, 3.995},  {20, 3.936},
    {25, 3.890},  {30, 3.807},  {40, 3.755},  {50, 3.730},   {70, 3.730}, {100, 3.739}, {150, 3.771},
    {200, 3.805}, {300, 3.865}, {500, 3.961}, {1000, 4.087},
}};

// The same if location and scale were known.
double limit_of_known_scale(double count) {
    constexpr double kNoneIn = 0.95;
    return normal_quantile(0.5 * (1.0 + std::pow(kNoneIn, 1.0 / count)));
}

}  // namespace

std::optional<RobustEstimate> robust_estimate(std::span<const double> values) {
    if (values.size() < kFewestForRobust)
        return std::nullopt;
    const double centre = median({values.begin(), values.end()});
    RobustEstimate result;
    result.scale = kSdPerMedianDeviation * median_deviation(values, centre);
    if (!(result.scale > std::numeric_limits<double>::epsilon() * std::abs(centre)))
        return std::nullopt;
    result.location = huber_location(values, centre, result.scale);
    const auto n = static_cast<double>(values.size());
    double squares = 0.0;
    double within = 0.0;
    for (const double value : values) {
        const double psi = clipped(value, result.location, result.scale);
        squares += psi * psi;
        within += std::abs(psi) < kHuber ? 1.0 : 0.0;
    }
    // At least one value is not clipped: half of them lie within the scale of the median.
    result.standard_error = result.scale * std::sqrt(squares / (n - 1.0) / n) / (within / n);
    return result;
}

std::vector<FarValue> far_values(std::span<const double> values, const RobustEstimate& estimate) {
    const double limit = far_limit(values.size());
    std::vector<FarValue> far;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const double scales = (values[i] - estimate.location) / estimate.scale;
        if (!(std::abs(scales) <= limit))
            far.push_back({i, scales});
    }
    return far;
}

double far_limit(std::size_t count) {
    ISOSEAM_CHECK_GE(count, kFewestForRobust);
    const auto n = static_cast<double>(count);
    const Limit& last = kLimits.back();
    if (count >= last.count)
        return last.scales * limit_of_known_scale(n) / limit_of_known_scale(static_cast<double>(last.count));
    const auto* above = std::find_if(kLimits.begin(), kLimits.end(),
                                     [count](const Limit& limit) { return limit.count >= count; });
    if (above->count == count)
        return above->scales;
    const Limit& below = *std::prev(above);
    const double low = std::log(static_cast<double>(below.count));
    const double high = std::log(static_cast<double>(above->count));
    return std::lerp(below.scales, above->scales, (std::log(n) - low) / (high - low));
}

}  // namespace isoseam
