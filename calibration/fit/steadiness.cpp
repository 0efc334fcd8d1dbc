#include "calibration/fit/steadiness.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "calibration/fit/drift.h"
#include "calibration/fit/sorted_readings.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

using std::size_t;
using Lights = std::vector<WhiteAtTime>;  // in the order of time

constexpr double kSecondsPerMinute = 60.0;
constexpr double kSecondsPerHour = 3600.0;
// White counts as changing when its slope goes beyond the rule by so many standard errors.
constexpr double kNoiseSds = 2.0;
// A plan of one minute reads white so often.
constexpr size_t kFewestTimes = 3;
// A line's residuals say nothing of the scatter before there are so many.
constexpr size_t kFewestOnLine = 4;

bool is_white(const Drive& drive) {
    return (drive.fractions.array() == 1.0).all();
}

std::vector<double> list_of(const Drive& drive) {
    return {drive.fractions.begin(), drive.fractions.end()};
}

// The lights of each drive at the usual patch, as shares of nothing yet: cd/m2, or counts.
std::map<std::vector<double>, Lights> lights_by_drive(const Readings& readings) {
    const PatchPlace patch = usual_patch(readings);
    std::map<std::vector<double>, Lights> lights;
    for (const Reading& row : readings.rows) {
        if (same_place(row.place, patch))
            lights[list_of(row.drive)].push_back({row.at_s, luminance_cd_m2(spectrum_of(readings, row))});
    }
    for (auto& [drive, of_drive] : lights)
        std::stable_sort(of_drive.begin(), of_drive.end(),
                         [](const WhiteAtTime& a, const WhiteAtTime& b) { return a.at_s < b.at_s; });
    return lights;
}

double mean_of(const Lights& lights) {
    double sum = 0.0;
    for (const WhiteAtTime& light : lights)
        sum += light.light;
    return sum / static_cast<double>(lights.size());
}

Lights between(const Lights& lights, double from_s, double to_s) {
    Lights part;
    std::copy_if(lights.begin(), lights.end(), std::back_inserter(part),
                 [&](const WhiteAtTime& light) { return light.at_s >= from_s && light.at_s <= to_s; });
    return part;
}

struct TimeLine {
    double slope_per_s = 0.0;
    double spread_s2 = 0.0;             // sum of squares of the times about their mean
    std::optional<double> residual_sd;  // none with few readings
};

// Least squares; the slope is 0 where all times are the same.
TimeLine line_through(const Lights& lights) {
    TimeLine line;
    double mean_at = 0.0;
    for (const WhiteAtTime& light : lights)
        mean_at += light.at_s / static_cast<double>(lights.size());
    const double mean = mean_of(lights);
    double product = 0.0;
    for (const WhiteAtTime& light : lights) {
        line.spread_s2 += (light.at_s - mean_at) * (light.at_s - mean_at);
        product += (light.at_s - mean_at) * (light.light - mean);
    }
    if (!(line.spread_s2 > 0.0))
        return line;
    line.slope_per_s = product / line.spread_s2;
    double squares = 0.0;
    for (const WhiteAtTime& light : lights)
        squares += std::pow(light.light - mean - line.slope_per_s * (light.at_s - mean_at), 2);
    if (lights.size() >= kFewestOnLine)
        line.residual_sd = std::sqrt(squares / static_cast<double>(lights.size() - 2));
    return line;
}

ChangeOfLight change_over(const TimeLine& line, double seconds, double scatter) {
    if (!(line.spread_s2 > 0.0))
        return {};
    return {seconds * line.slope_per_s, seconds * scatter / std::sqrt(line.spread_s2)};
}

// What white does around each moment that has readings kSlopeReachSeconds after it. Before the first white
// there are none, so that the lines of the first moments are shorter.
struct LineAtTime {
    double at_s = 0.0;
    TimeLine line;
};
std::vector<LineAtTime> lines_of(const Lights& whites) {
    std::vector<LineAtTime> lines;
    for (const WhiteAtTime& white : whites) {
        if (white.at_s + kSlopeReachSeconds <= whites.back().at_s)
            lines.push_back({white.at_s, line_through(between(whites, white.at_s - kSlopeReachSeconds,
                                                              white.at_s + kSlopeReachSeconds))});
    }
    return lines;
}

// The median of the lines' own: the first ones are bent.
double scatter_of(const std::vector<LineAtTime>& lines) {
    std::vector<double> sds;
    for (const LineAtTime& one : lines) {
        if (one.line.residual_sd)
            sds.push_back(*one.line.residual_sd);
    }
    if (sds.empty())
        return 0.0;
    const auto middle = sds.begin() + static_cast<std::ptrdiff_t>(sds.size() / 2);
    std::nth_element(sds.begin(), middle, sds.end());
    return *middle;
}

// The first moment from which on white never changes by more than the rule and the noise of a line allow;
// none where it still does at the last one, or where the noise leaves it open.
void find_settling(const Lights& whites, const std::vector<LineAtTime>& lines, Steadiness& result) {
    const auto changes = [&](const LineAtTime& one) {
        const ChangeOfLight change = change_over(one.line, kSecondsPerMinute, result.scatter);
        return std::abs(change.share) - kNoiseSds * change.standard_error > result.settled_per_min;
    };
    const auto settled = std::find_if(lines.rbegin(), lines.rend(), changes).base();
    if (settled == lines.end())
        return;
    const Lights after = between(whites, settled->at_s, whites.back().at_s);
    const TimeLine line = line_through(after);
    const ChangeOfLight per_min = change_over(line, kSecondsPerMinute, result.scatter);
    if (!(std::abs(per_min.share) + per_min.standard_error <= result.settled_per_min))
        return;
    result.settled_at_s = settled->at_s - whites.front().at_s;
    result.per_hour = change_over(line, kSecondsPerHour, result.scatter);
    result.excess_at_first = whites.front().light / mean_of(after) - 1.0;
}

void add_black(const Lights& blacks, double white, Steadiness& result) {
    const auto [least, most] =
        std::minmax_element(blacks.begin(), blacks.end(),
                            [](const WhiteAtTime& a, const WhiteAtTime& b) { return a.light < b.light; });
    result.blacks = static_cast<int>(blacks.size());
    result.black = mean_of(blacks) / white;
    result.least_black = least->light / white;
    result.most_black = most->light / white;
}

std::string minutes(double seconds) {
    return fmt::format("{:.3g} min", seconds / kSecondsPerMinute);
}

std::string percent(double share, int digits = 2) {
    return fmt::format("{:.{}g} %", 100.0 * share, digits);
}

std::string change_words(const ChangeOfLight& change) {
    return fmt::format("{:+.2g} \u00b1 {:.1g} %", 100.0 * change.share, 100.0 * change.standard_error);
}

std::string settling_words(const Steadiness& steadiness) {
    const std::string rule = percent(steadiness.settled_per_min) + " a minute";
    if (!steadiness.long_enough)
        return fmt::format(
            "White was watched for {}. That is too short to tell when it settles: watch it for {} at least.",
            minutes(steadiness.watched_s), minutes(2.0 * kSlopeReachSeconds));
    if (!steadiness.settled_at_s)
        return fmt::format(
            "White had not settled to {} after {}: over the last {} it changed by {} a minute.", rule,
            minutes(steadiness.watched_s), minutes(2.0 * kSlopeReachSeconds),
            change_words(steadiness.per_min_at_last));
    if (*steadiness.settled_at_s == 0.0)
        return fmt::format(
            "White had settled to {} from the first reading on; it then changed by {} an hour.", rule,
            change_words(steadiness.per_hour));
    return fmt::format(
        "White settled to {} after {}; it then changed by {} an hour. The first reading was {:+.2g} % off.",
        rule, minutes(*steadiness.settled_at_s), change_words(steadiness.per_hour),
        100.0 * steadiness.excess_at_first);
}

}  // namespace

bool follows_over_time(const Readings& readings) {
    std::set<double> times_of_white;
    std::map<Eigen::Index, std::set<double>> levels;  // of each primary alone
    for (const Reading& row : readings.rows) {
        if (is_white(row.drive))
            times_of_white.insert(row.at_s);
        Eigen::Index primary = 0;
        if ((row.drive.fractions.array() > 0.0).count() == 1)
            levels[(row.drive.fractions.maxCoeff(&primary), primary)].insert(row.drive.fractions[primary]);
    }
    const auto one_level = [](const auto& primary) { return primary.second.size() == 1; };
    return times_of_white.size() >= kFewestTimes && levels.size() == readings.primaries.size() &&
           std::all_of(levels.begin(), levels.end(), one_level);
}

std::optional<Steadiness> steadiness_of(const Readings& readings, double settled_per_min) {
    std::map<std::vector<double>, Lights> lights =
        readings.rows.empty() ? std::map<std::vector<double>, Lights>{} : lights_by_drive(readings);
    const std::vector<double> white_drive(readings.primaries.size(), 1.0);
    const std::vector<double> black_drive(readings.primaries.size(), 0.0);
    Lights whites = lights[white_drive];
    if (whites.empty() || !(whites.back().at_s > whites.front().at_s))
        return std::nullopt;
    const double mean = mean_of(whites);
    if (!(mean > 0.0))
        return std::nullopt;
    for (WhiteAtTime& white : whites)
        white.light /= mean;
    Steadiness result;
    result.whites = static_cast<int>(whites.size());
    result.watched_s = whites.back().at_s - whites.front().at_s;
    result.settled_per_min = settled_per_min;
    result.long_enough = result.watched_s >= 2.0 * kSlopeReachSeconds;
    const std::vector<LineAtTime> lines = lines_of(whites);
    result.scatter = scatter_of(lines);
    result.per_min_at_last = change_over(
        line_through(between(whites, whites.back().at_s - 2.0 * kSlopeReachSeconds, whites.back().at_s)),
        kSecondsPerMinute, result.scatter);
    if (result.long_enough)
        find_settling(whites, lines, result);
    for (const auto& [drive, of_drive] : lights) {
        if (drive == black_drive && !of_drive.empty())
            add_black(of_drive, mean, result);
        else if (drive != white_drive && of_drive.size() >= 2)
            result.colours.push_back(
                {{Eigen::Map<const Eigen::VectorXd>(drive.data(), static_cast<Eigen::Index>(drive.size()))},
                 of_drive.back().light / of_drive.front().light - 1.0});
    }
    return result;
}

std::vector<std::string> steadiness_words(const Steadiness& steadiness) {
    std::vector<std::string> words{settling_words(steadiness)};
    if (steadiness.scatter > 0.0)
        words.push_back(
            fmt::format("One reading of white scatters by {} (SD).", percent(steadiness.scatter)));
    if (steadiness.blacks == 1)
        words.push_back(fmt::format("Black was read once, at {} of white.", percent(steadiness.black, 3)));
    if (steadiness.blacks > 1)
        words.push_back(fmt::format("Black is {} of white in the mean of {} readings, from {} to {}.",
                                    percent(steadiness.black, 3), steadiness.blacks,
                                    percent(steadiness.least_black, 3), percent(steadiness.most_black, 3)));
    for (const Steadiness::Colour& colour : steadiness.colours)
        words.push_back(
            fmt::format("Drive {:.3g}: the last reading differs from the first by {:+.2g} %.",
                        fmt::join(colour.drive.fractions.begin(), colour.drive.fractions.end(), ", "),
                        100.0 * colour.change));
    return words;
}

}  // namespace isoseam
