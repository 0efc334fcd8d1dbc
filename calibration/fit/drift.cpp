#include "calibration/fit/drift.h"

#include <algorithm>
#include <cmath>

namespace isoseam {
namespace {

using std::size_t;

constexpr double kWidthOfNeighbours = 1.0 / 6.0;  // of the whole time

struct Line {
    double value = 0.0;      // at the time asked for
    double slope = 0.0;      // per second
    double own_share = 0.0;  // of the reading at the time asked for in the value
};

// Weighted least squares through the whites, at the time of one of them. width_s 0: all weigh alike.
Line line_at(const std::vector<WhiteAtTime>& whites, size_t index, double width_s) {
    double w = 0.0, wt = 0.0, wtt = 0.0, wy = 0.0, wty = 0.0;
    for (const WhiteAtTime& white : whites) {
        const double t = white.at_s - whites[index].at_s;
        const double weight = width_s > 0.0 ? std::exp(-0.5 * t * t / (width_s * width_s)) : 1.0;
        w += weight;
        wt += weight * t;
        wtt += weight * t * t;
        wy += weight * white.light;
        wty += weight * t * white.light;
    }
    const double determinant = w * wtt - wt * wt;
    if (!(determinant > 0.0))
        return {wy / w, 0.0, 1.0 / w};
    return {(wtt * wy - wt * wty) / determinant, (w * wty - wt * wy) / determinant, wtt / determinant};
}

}  // namespace

double Drift::gain_at(double at_s) const {
    if (!followed)
        return 1.0;
    const double last = smooth.back().light;
    const auto after = std::find_if(smooth.begin(), smooth.end(),
                                    [&](const WhiteAtTime& white) { return white.at_s > at_s; });
    if (after == smooth.begin())
        return smooth.front().light / last;
    if (after == smooth.end())
        return 1.0;
    const WhiteAtTime& a = *(after - 1);
    return std::lerp(a.light, after->light, (at_s - a.at_s) / (after->at_s - a.at_s)) / last;
}

Drift drift_of(const std::vector<WhiteAtTime>& whites) {
    Drift drift;
    drift.whites = static_cast<int>(whites.size());
    if (whites.empty())
        return drift;
    double mean = 0.0;
    double lowest = whites[0].light;
    double highest = whites[0].light;
    for (const WhiteAtTime& white : whites) {
        mean += white.light / static_cast<double>(whites.size());
        lowest = std::min(lowest, white.light);
        highest = std::max(highest, white.light);
    }
    drift.range = (highest - lowest) / mean;
    const double span_s = whites.back().at_s - whites.front().at_s;
    if (!(span_s > 0.0))
        return drift;
    drift.per_hour = line_at(whites, 0, 0.0).slope * 3600.0 / mean;
    if (drift.whites < kFewestWhitesToFollow)
        return drift;
    double scatter = 0.0;
    double left = 0.0;  // degrees of freedom
    double largest_share = 0.0;
    for (size_t i = 0; i < whites.size(); ++i) {
        const Line line = line_at(whites, i, kWidthOfNeighbours * span_s);
        drift.smooth.push_back({whites[i].at_s, line.value});
        const double error = whites[i].light - line.value;
        scatter += error * error;
        left += 1.0 - line.own_share;
        largest_share = std::max(largest_share, line.own_share);
    }
    if (!(left > 0.5))
        return drift;
    const double standard_error = std::sqrt(scatter / left * std::min(1.0, largest_share));
    const auto [low, high] =
        std::minmax_element(drift.smooth.begin(), drift.smooth.end(),
                            [](const WhiteAtTime& a, const WhiteAtTime& b) { return a.light < b.light; });
    drift.followed = high->light - low->light > 5.0 * standard_error;
    if (drift.followed)
        drift.gain_sd = standard_error / drift.smooth.back().light;
    return drift;
}

}  // namespace isoseam
