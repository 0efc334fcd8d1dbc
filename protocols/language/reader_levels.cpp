// What drives the levels of a task: staircase, constant stimuli, Bayesian procedure.

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

constexpr long kMostCount = 10000;  // The largest number of anything that is counted in trials or levels.
constexpr double kWholeTurnDeg = 360.0;

std::optional<double> read_value(const YamlNode& node, std::optional<Dimension> unit) {
    return unit ? node.quantity(*unit) : node.number();
}

std::optional<Dimension> unit_of(bool plain) {
    return plain ? std::nullopt : std::optional(Dimension::fraction);
}

std::optional<int> read_count(const YamlNode& node, long least) {
    const auto count = node.whole_number(least, kMostCount);
    return count ? std::optional(static_cast<int>(*count)) : std::nullopt;
}

// Evenly spaced values. The first and the last one are exactly `from` and `to`.
std::vector<double> spaced(double from, double to, long count, bool logarithmic) {
    std::vector<double> values{from};
    for (long i = 1; i + 1 < count; ++i) {
        const double share = static_cast<double>(i) / static_cast<double>(count - 1);
        values.push_back(logarithmic ? from * std::pow(to / from, share) : from + share * (to - from));
    }
    values.push_back(to);
    return values;
}

std::vector<double> read_spaced(const YamlNode& node, std::optional<Dimension> unit) {
    node.only_keys({"from", "to", "count", "spacing"});
    const YamlNode from_node = node.at("from", "the smallest value");
    const YamlNode to_node = node.at("to", "the largest value");
    const auto from = read_value(from_node, unit);
    const auto to = read_value(to_node, unit);
    const auto count = node.at("count", "how many values, both ends included").whole_number(2, kMostCount);
    const bool logarithmic = node.find("spacing").choice({"linear", "log"}) == 1;
    if (from && to && !(*from < *to)) {
        to_node.fault(
            fmt::format("'{}' is not above '{}'", to_node.text().value_or(""), from_node.text().value_or("")),
            "let `to` be larger than `from`");
        return {};
    }
    if (logarithmic && from && !(*from > 0.0)) {
        from_node.fault(fmt::format("'{}' has no logarithm", from_node.text().value_or("")),
                        "start above 0, or write 'spacing: linear'");
        return {};
    }
    return from && to && count ? spaced(*from, *to, *count, logarithmic) : std::vector<double>{};
}

bool is_spaced(const YamlNode& node) {
    return node.is_map();
}

std::vector<AskedLevel> spaced_levels(const YamlNode& node, const LevelForm& form) {
    if (form.dimensions() != 1) {
        node.fault(fmt::format("levels of one number for {} directions", form.dimensions()),
                   form.dimensions() == 2
                       ? "write a list of levels such as [1 %, 2 %], or {radii: ..., directions: 12}"
                       : "write a list of levels such as [1 %, 2 %, 1 %]");
        return {};
    }
    std::vector<AskedLevel> levels;
    const std::vector<double> values = read_spaced(node, unit_of(form.plain.front()));
    for (const double value : values)
        levels.push_back(asked_at(node.find(value < 0.0 ? "from" : "to"), {value}));
    return levels;
}

// Levels that lie on circles about the predicted match.
std::vector<AskedLevel> circles_of_levels(const YamlNode& node, const LevelForm& form) {
    node.only_keys({"radii", "directions"});
    const YamlNode radii_node = node.at("radii", "{from: , to: , count: , spacing: log}");
    const auto directions =
        read_count(node.at("directions", "how many directions round the predicted match, such as 12"), 2);
    if (form.dimensions() != 2 || form.plain[0] != form.plain[1]) {
        node.fault("directions lie in a plane of two dimensions with one unit",
                   "give `along` two directions, or write a list of levels");
        return {};
    }
    std::vector<AskedLevel> levels;
    const std::vector<double> radii = read_grid(radii_node, unit_of(form.plain[0]));
    if (!radii.empty() && !(radii.front() > 0.0)) {
        radii_node.fault("a radius that is not above 0", "write radii above 0");
        return {};
    }
    for (const double radius : radii) {
        for (int i = 0; directions && i < *directions; ++i) {
            const double angle = kWholeTurnDeg * i / *directions * std::numbers::pi / 180.0;
            levels.push_back(asked_at(is_spaced(radii_node) ? radii_node.find("to") : radii_node,
                                      {radius * std::cos(angle), radius * std::sin(angle)}));
        }
    }
    return levels;
}

GriddedParameter read_parameter(const YamlNode& node, std::optional<Dimension> unit) {
    return {read_grid(node, unit), {}};
}

std::vector<GriddedParameter> read_thresholds(const YamlNode& node, const LevelForm& form) {
    if (form.dimensions() == 1)
        return {read_parameter(node, unit_of(form.plain.front()))};
    std::vector<GriddedParameter> thresholds;
    const std::vector<YamlNode> items = node.items();
    if (node.is_sequence() && static_cast<int>(items.size()) != form.dimensions()) {
        node.fault(fmt::format("{} thresholds for {} dimensions", items.size(), form.dimensions()),
                   "write one for each dimension");
        return {};
    }
    for (std::size_t i = 0; i < items.size(); ++i)
        thresholds.push_back(read_parameter(items[i], unit_of(form.plain[i])));
    return thresholds;
}

StaircaseTrack read_track(const YamlNode& node, const LevelForm& form, std::vector<AskedLevel>& asked) {
    constexpr double kUnread = std::numeric_limits<double>::quiet_NaN();
    const auto read = [&](const std::string& key, const char* expected) {
        const YamlNode level_node = node.at(key, expected);
        const auto level = read_level(level_node, form);
        return level ? level->front() : kUnread;
    };
    StaircaseTrack track;
    track.start = read("start", "the first level");
    track.lowest = read("lowest", "the lowest level that it may ask for");
    track.highest = read("highest", "the highest level that it may ask for");
    const auto text = [&](const char* key) { return node.find(key).text().value_or(""); };
    if (track.lowest >= track.highest) {
        node.find("highest").fault(fmt::format("'{}' is not above '{}'", text("highest"), text("lowest")),
                                   "let `highest` be above `lowest`");
    } else if (track.start < track.lowest || track.start > track.highest) {
        node.find("start").fault(
            fmt::format("'{}' is outside '{}' to '{}'", text("start"), text("lowest"), text("highest")),
            "start between `lowest` and `highest`");
    }
    asked.push_back(asked_at(node.find("lowest"), {track.lowest}));
    asked.push_back(asked_at(node.find("highest"), {track.highest}));
    return track;
}

std::vector<double> read_steps(const YamlNode& node, std::optional<Dimension> unit) {
    std::vector<double> steps;
    for (const YamlNode& item : node.is_scalar() ? std::vector<YamlNode>{node} : node.items()) {
        const auto step = read_value(item, unit);
        if (step && !(*step > 0.0))
            item.fault(fmt::format("a step of '{}'", item.text().value_or("")), "write a size above 0");
        steps.push_back(step.value_or(0.0));
    }
    return steps;
}

void read_tracks(const YamlNode& node, const LevelForm& form, StaircaseSpec& staircase, TaskPlan& task) {
    const YamlNode tracks = node.find("tracks");
    if (!tracks.exists()) {
        staircase.tracks.push_back(read_track(node, form, task.asked));
        return;
    }
    for (const char* key : {"start", "lowest", "highest"})
        refuse(node.find(key), "stands beside `tracks`", "write it in each track");
    for (const YamlNode& track : tracks.items()) {
        track.only_keys({"start", "lowest", "highest"});
        staircase.tracks.push_back(read_track(track, form, task.asked));
    }
}

}  // namespace

std::vector<double> read_grid(const YamlNode& node, std::optional<Dimension> unit) {
    if (is_spaced(node))
        return read_spaced(node, unit);
    const auto value = read_value(node, unit);
    return value ? std::vector<double>{*value} : std::vector<double>{};
}

AskedLevel asked_at(const YamlNode& node, Level level) {
    return {std::move(level), node.key_path(), {node.line(), node.column()}};
}

std::optional<Level> read_level(const YamlNode& node, const LevelForm& form) {
    if (!node.exists())
        return std::nullopt;
    const std::vector<YamlNode> items = node.is_sequence() ? node.items() : std::vector<YamlNode>{node};
    const bool wrong_form = node.is_sequence() == (form.dimensions() == 1) || node.is_map();
    if (wrong_form || static_cast<int>(items.size()) != form.dimensions()) {
        node.fault(fmt::format("a level of {} for {} direction{}",
                               node.is_scalar() ? "one number" : fmt::format("{} numbers", items.size()),
                               form.dimensions(), form.dimensions() == 1 ? "" : "s"),
                   form.dimensions() == 1 ? "write one number, such as 2 %"
                                          : fmt::format("write a list of {}", form.dimensions()));
        return std::nullopt;
    }
    Level level;
    for (std::size_t i = 0; i < items.size(); ++i) {
        const auto value = read_value(items[i], unit_of(form.plain[i]));
        if (value)
            level.push_back(*value);
    }
    return static_cast<int>(level.size()) == form.dimensions() ? std::optional(level) : std::nullopt;
}

std::vector<AskedLevel> read_levels(const YamlNode& node, const LevelForm& form) {
    std::vector<AskedLevel> levels;
    const std::vector<YamlNode> items = node.items();
    if (node.is_sequence() && items.empty())
        node.fault("no level", "list at least one");
    for (const YamlNode& item : items) {
        if (const auto level = read_level(item, form))
            levels.push_back(asked_at(item, *level));
    }
    return levels;
}

void read_staircase(const YamlNode& node, const LevelForm& form, TaskPlan& task) {
    node.only_keys({"scale", "start", "lowest", "highest", "tracks", "down", "up", "step_down", "step_up",
                    "reversals", "trials", "discard"});
    StaircaseSpec staircase;
    const auto scale = node.at("scale", "of the steps: linear or log10").choice({"linear", "log10"});
    staircase.scale = scale == 1 ? StepScale::log10 : StepScale::linear;
    if (form.dimensions() == 1) {
        read_tracks(node, form, staircase, task);
    } else {
        node.fault(fmt::format("a staircase along {} directions", form.dimensions()),
                   "give `along` one direction, or write constant_stimuli or bayesian");
    }
    staircase.down =
        read_count(node.at("down", "successes in a row before a step down, such as 3"), 1).value_or(1);
    staircase.up = read_count(node.at("up", "failures in a row before a step up, such as 1"), 1).value_or(1);
    if (scale) {
        const auto unit = *scale == 1 || form.dimensions() != 1 ? std::nullopt : unit_of(form.plain.front());
        staircase.step_down =
            read_steps(node.at("step_down", "one size or a list, such as [0.3, 0.1]"), unit);
        staircase.step_up = read_steps(node.at("step_up", "one size or a list, such as [0.3, 0.1]"), unit);
    }
    staircase.reversals = read_count(node.find("reversals"), 1);
    staircase.trials = read_count(node.find("trials"), 1);
    staircase.discard = read_count(node.find("discard"), 0).value_or(0);
    task.spec.levels = std::move(staircase);
}

void read_constant_stimuli(const YamlNode& node, const LevelForm& form, TaskPlan& task) {
    node.only_keys({"levels", "repeats", "repeats_in_block"});
    ConstantStimuliSpec constant;
    const auto levels = read_levels(node.at("levels", "a list of them, such as [1 %, 2 %, 4 %]"), form);
    for (const AskedLevel& level : levels)
        constant.levels.push_back(level.level);
    task.asked.insert(task.asked.end(), levels.begin(), levels.end());
    constant.repeats = read_count(node.at("repeats", "of each level, such as 20"), 1).value_or(1);
    constant.repeats_in_block = read_count(node.find("repeats_in_block"), 1).value_or(1);
    task.spec.levels = std::move(constant);
}

void read_bayesian(const YamlNode& node, const LevelForm& form, TaskPlan& task) {
    node.only_keys(
        {"form", "levels", "threshold", "angle", "slope", "guess", "lapse", "trials", "precision"});
    BayesianAdaptiveSpec bayesian;
    const auto shape = node.at("form", "of the psychometric function: weibull, logistic or cumulative_normal")
                           .choice({"weibull", "logistic", "cumulative_normal"});
    bayesian.form = static_cast<PsychometricForm>(shape.value_or(0));
    const YamlNode levels_node = node.at("levels", "to choose from: {from: , to: , count: , spacing: log}");
    const bool circles = levels_node.is_map() &&
                         (levels_node.find("radii").exists() || levels_node.find("directions").exists());
    const auto levels = circles                ? circles_of_levels(levels_node, form)
                        : levels_node.is_map() ? spaced_levels(levels_node, form)
                                               : read_levels(levels_node, form);
    for (const AskedLevel& level : levels)
        bayesian.levels.push_back(level.level);
    task.asked.insert(task.asked.end(), levels.begin(), levels.end());
    bayesian.thresholds =
        read_thresholds(node.at("threshold", "what it may be: a value, or {from: , to: , count: }"), form);
    if (node.find("angle").exists())
        bayesian.angle_deg = read_parameter(node.find("angle"), Dimension::angle_deg);
    bayesian.slope = read_parameter(node.at("slope", "what it may be, such as 3.5"), std::nullopt);
    const YamlNode guess = node.find("guess");
    const auto* choice = std::get_if<ForcedChoice>(&task.spec.question);
    if (choice != nullptr && !guess.exists())
        bayesian.guess.values = {1.0 / choice->places};
    else
        bayesian.guess = read_parameter(
            node.at("guess", "the share of successes without a target, such as 5 %"), Dimension::fraction);
    bayesian.lapse = read_parameter(node.at("lapse", "the share of slips, such as 2 %"), Dimension::fraction);
    bayesian.trials = read_count(node.at("trials", "at most, such as 64"), 1).value_or(1);
    const YamlNode precision = node.find("precision");
    const bool logarithmic = bayesian.form == PsychometricForm::weibull;
    bayesian.precision = read_value(
        precision, logarithmic || form.dimensions() != 1 ? std::nullopt : unit_of(form.plain.front()));
    task.spec.levels = std::move(bayesian);
}

}  // namespace isoseam
