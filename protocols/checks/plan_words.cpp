// A procedure in words.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>

#include "protocols/checks/plan.h"
#include "protocols/language/axes.h"
#include "protocols/procedures/staircase.h"
#include "protocols/setup/level_gamut.h"

namespace isoseam {
namespace {

std::string question_words(const Question& question) {
    if (const auto* choice = std::get_if<ForcedChoice>(&question))
        return fmt::format("forced choice among {} places", choice->places);
    if (std::holds_alternative<YesNo>(question))
        return "yes or no";
    if (const auto* same = std::get_if<SameDifferent>(&question))
        return fmt::format("same or different, {:.3g} % of the trials alike", 100.0 * same->same_share);
    const auto& rating = std::get<Rating>(question);
    return fmt::format("rating in {} categories", rating.categories) +
           (rating.seen_from ? fmt::format(", seen from {} on", *rating.seen_from) : "");
}

std::string source_words(const LevelSourceSpec& source) {
    if (std::holds_alternative<StaircaseSpec>(source))
        return "a staircase";
    return std::holds_alternative<ConstantStimuliSpec>(source) ? "constant stimuli"
                                                               : "a Bayesian adaptive procedure";
}

class TaskWords {
  public:
    TaskWords(const Block& block, const std::vector<AdjustmentAxis>& axes)
        : block_(block), axes_(axes), plan_(std::get<TaskPlan>(block.plan)) {}

    std::vector<std::string> lines() const;

  private:
    std::string level(const Level& of) const { return level_text(block_.space, axes_, of); }
    std::string levels(const std::vector<Level>& of) const;
    std::string shown() const;
    void add_source(const StaircaseSpec& staircase, std::vector<std::string>& lines) const;
    void add_source(const ConstantStimuliSpec& constant, std::vector<std::string>& lines) const;
    void add_source(const BayesianAdaptiveSpec& bayesian, std::vector<std::string>& lines) const;
    std::string steps(const StaircaseSpec& staircase, const std::vector<double>& of) const;

    const Block& block_;
    const std::vector<AdjustmentAxis>& axes_;
    const TaskPlan& plan_;
};

std::string TaskWords::levels(const std::vector<Level>& of) const {
    std::vector<std::string> words;
    for (const Level& one : of)
        words.push_back(level(one));
    return fmt::format("{}", fmt::join(words, ", "));
}

std::string TaskWords::shown() const {
    std::string words = plan_.shown_s > 0.0 ? fmt::format("target shown for {:g} s", plan_.shown_s)
                                            : std::string("target shown until the answer");
    if (plan_.onset_s > 0.0)
        words += fmt::format(", rising and falling over {:g} s each", plan_.onset_s);
    if (plan_.between_s > 0.0)
        words += fmt::format(", two intervals {:g} s apart", plan_.between_s);
    if (plan_.wait_s > 0.0)
        words += fmt::format(", {:g} s after the answer before", plan_.wait_s);
    return words;
}

std::string TaskWords::steps(const StaircaseSpec& staircase, const std::vector<double>& of) const {
    std::vector<std::string> words;
    for (const double step : of)
        words.push_back(staircase.scale == StepScale::log10 ? fmt::format("{:g}", step) : level({step}));
    return fmt::format("{}", fmt::join(words, ", then "));
}

void TaskWords::add_source(const StaircaseSpec& staircase, std::vector<std::string>& lines) const {
    const bool logarithmic = staircase.scale == StepScale::log10;
    lines.push_back(fmt::format(
        "{} down, {} up: steps down {}, up {}{}; converges near {:.3g} % of successes", staircase.down,
        staircase.up, steps(staircase, staircase.step_down), steps(staircase, staircase.step_up),
        logarithmic ? " log10 units" : "", 100.0 * convergence_level(staircase)));
    for (const StaircaseTrack& track : staircase.tracks) {
        lines.push_back(fmt::format("track: starts at {}, stays between {} and {}", level({track.start}),
                                    level({track.lowest}), level({track.highest})));
    }
    std::vector<std::string> ends;
    if (staircase.reversals)
        ends.push_back(fmt::format("{} reversals, of which the first {} are discarded", *staircase.reversals,
                                   staircase.discard));
    if (staircase.trials)
        ends.push_back(fmt::format("{} trials", *staircase.trials));
    lines.push_back(fmt::format("a track ends after {}", fmt::join(ends, " or ")));
}

void TaskWords::add_source(const ConstantStimuliSpec& constant, std::vector<std::string>& lines) const {
    lines.push_back(fmt::format("levels {}, each {} times in blocks of {}", levels(constant.levels),
                                constant.repeats, constant.repeats_in_block));
}

std::string grid_words(const std::vector<double>& values, double scale, const char* unit) {
    if (values.size() == 1)
        return fmt::format("{:.4g}{}", scale * values.front(), unit);
    return fmt::format("{} values from {:.4g}{} to {:.4g}{}", values.size(), scale * values.front(), unit,
                       scale * values.back(), unit);
}

void TaskWords::add_source(const BayesianAdaptiveSpec& bayesian, std::vector<std::string>& lines) const {
    lines.push_back(fmt::format(
        "{}; chooses among {} levels; ends after {} trials{}", to_string(bayesian.form),
        bayesian.levels.size(), bayesian.trials,
        bayesian.precision ? fmt::format(" or a standard deviation of {:g}", *bayesian.precision) : ""));
    for (std::size_t i = 0; i < bayesian.thresholds.size(); ++i) {
        const bool plain = is_plain_number(block_.space, axes_.at(i).name);
        lines.push_back("threshold: " +
                        grid_words(bayesian.thresholds[i].values, plain ? 1.0 : 100.0, plain ? "" : " %"));
    }
    if (bayesian.levels.front().size() == 2)
        lines.push_back("angle: " + grid_words(bayesian.angle_deg.values, 1.0, " deg"));
    lines.push_back(fmt::format("slope: {}; guess: {}; lapse: {}", grid_words(bayesian.slope.values, 1.0, ""),
                                grid_words(bayesian.guess.values, 100.0, " %"),
                                grid_words(bayesian.lapse.values, 100.0, " %")));
}

std::vector<std::string> TaskWords::lines() const {
    std::vector<std::string> lines{shown()};
    std::visit([&](const auto& source) { add_source(source, lines); }, plan_.spec.levels);
    if (plan_.interleaved)
        lines.emplace_back("the runs of all conditions come mixed");
    const CatchTrials& catch_trials = plan_.spec.catch_trials;
    if (catch_trials.share)
        lines.push_back(fmt::format("catch trials: {:.3g} % of the trials", 100.0 * *catch_trials.share));
    if (catch_trials.every)
        lines.push_back(fmt::format("catch trials: one of each {}", *catch_trials.every));
    if (plan_.spec.practice) {
        const Practice& practice = *plan_.spec.practice;
        lines.push_back(fmt::format("practice at {} until {} of the last {} are right, {} trials at most",
                                    levels(practice.levels), practice.right, practice.of, practice.most));
    }
    if (plan_.spec.feedback)
        lines.emplace_back("says after each answer whether it was right");
    return lines;
}

std::string time_limit_words(const std::optional<double>& time_limit_s) {
    return time_limit_s ? fmt::format("a setting ends without a value after {:g} s", *time_limit_s) : "";
}

}  // namespace

std::string order_words(TrialOrder order) {
    static constexpr std::array<const char*, 5> kWords{
        "shuffled as a whole", "as listed", "in rounds, each in a new order",
        "by a Latin square over participants", "counterbalanced over participants"};
    return kWords.at(static_cast<std::size_t>(order));
}

std::string procedure_words(const Block& block) {
    if (const auto* adjustment = std::get_if<AdjustmentPlan>(&block.plan))
        return adjustment->bracketing ? "adjustment from both sides in turn" : "adjustment";
    if (std::holds_alternative<FlickerNullPlan>(block.plan))
        return "adjustment to least flicker";
    const TaskSpec& spec = std::get<TaskPlan>(block.plan).spec;
    return fmt::format("{}, driven by {}", question_words(spec.question), source_words(spec.levels));
}

std::vector<std::string> procedure_details(const Block& block, const std::vector<AdjustmentAxis>& axes) {
    if (std::holds_alternative<TaskPlan>(block.plan))
        return TaskWords(block, axes).lines();
    std::vector<std::string> lines;
    const auto size = [&](std::size_t axis, double value) {
        return level_text(block.space, {axes[axis]}, {value});
    };
    for (std::size_t i = 0; i < axes.size(); ++i) {
        std::string line = fmt::format("axis {}: steps of {} and {}", axes[i].name, size(i, axes[i].fine),
                                       size(i, axes[i].coarse));
        if (const auto* null = std::get_if<FlickerNullPlan>(&block.plan))
            line += fmt::format(", starts {} above and below in turn, moved by up to {}",
                                size(i, null->bracket), size(i, null->jitter));
        else
            line += fmt::format(", starts within {} of the match", size(i, axes[i].start));
        lines.push_back(line);
    }
    const auto* adjustment = std::get_if<AdjustmentPlan>(&block.plan);
    const std::string limit = time_limit_words(
        adjustment ? adjustment->time_limit_s : std::get<FlickerNullPlan>(block.plan).time_limit_s);
    if (!limit.empty())
        lines.push_back(limit);
    return lines;
}

}  // namespace isoseam
