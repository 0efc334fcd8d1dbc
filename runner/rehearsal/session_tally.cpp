#include "runner/rehearsal/session_tally.h"
#include "runner/session/trial_records.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <numeric>
#include <utility>

namespace isoseam {
namespace {

const TaskPlan* task_of(const Setup& setup, int condition) {
    return std::get_if<TaskPlan>(&setup.block_of(condition).plan);
}

// Everything that decides about one question at one distance.
struct Asked {
    AnswerForm form = AnswerForm::yes_no;
    int places = 1;
};

std::optional<Asked> asked(const Question& question) {
    if (const auto* choice = std::get_if<ForcedChoice>(&question))
        return Asked{AnswerForm::place, choice->places};
    if (std::holds_alternative<YesNo>(question))
        return Asked{AnswerForm::yes_no, 1};
    if (std::holds_alternative<SameDifferent>(question))
        return Asked{AnswerForm::same_different, 1};
    return std::nullopt;
}

// Returns the share of successes at the level that the procedure aims for, for an observer who guesses and
// lapses as this one does.
std::optional<double> share_wanted(const LevelSourceSpec& levels, const JudgeTraits& traits,
                                   const Asked& question) {
    if (const auto* staircase = std::get_if<StaircaseSpec>(&levels))
        return convergence_level(*staircase);
    const auto* bayesian = std::get_if<BayesianAdaptiveSpec>(&levels);
    if (bayesian == nullptr || bayesian->levels.front().size() != 1)
        return std::nullopt;
    const double lowest = success_probability(traits, question.form, 0.0, question.places);
    const double highest = success_probability(traits, question.form, kFarthest, question.places);
    const double at_threshold = bayesian->form == PsychometricForm::weibull ? 1.0 - std::exp(-1.0) : 0.5;
    return lowest + (highest - lowest) * at_threshold;
}

std::optional<double> distance_wanted(const TaskPlan& task, const JudgeTraits& traits) {
    const std::optional<Asked> question = asked(task.spec.question);
    if (!question || dimensions(task.spec.levels) != 1)
        return std::nullopt;
    const std::optional<double> share = share_wanted(task.spec.levels, traits, *question);
    return share ? distance_for(traits, question->form, *share, question->places) : std::nullopt;
}

// Returns log10 of the procedure's estimate. The result is none where there is no estimate, or none that is
// positive.
std::optional<double> log10_estimate(const LevelSourceSpec& spec, const LevelSourceResult& result) {
    if (const auto* staircase = std::get_if<StaircaseResult>(&result)) {
        double sum = 0.0;
        for (const StaircaseResult::Track& track : staircase->tracks) {
            if (!track.estimate || !(*track.estimate > 0.0))
                return std::nullopt;
            sum += std::log10(*track.estimate);
        }
        return sum / static_cast<double>(staircase->tracks.size());
    }
    if (const auto* bayesian = std::get_if<BayesianAdaptiveResult>(&result)) {
        const double mean = bayesian->thresholds.front().estimate.mean;
        if (std::get<BayesianAdaptiveSpec>(spec).form == PsychometricForm::weibull)
            return mean;
        return mean > 0.0 ? std::optional(std::log10(mean)) : std::nullopt;
    }
    return std::nullopt;
}

}  // namespace

TaskTruths::TaskTruths(const Setup& setup, const SimulatedTraits& traits) {
    for (int i = 0; i < static_cast<int>(setup.protocol().conditions.size()); ++i) {
        const TaskPlan* task = task_of(setup, i);
        if (task == nullptr || !std::holds_alternative<ForcedChoice>(task->spec.question))
            continue;
        JudgeTraits anybody;
        anybody.lapses = traits.lapses;
        if (const std::optional<double> distance = distance_wanted(*task, anybody))
            distance_[i] = *distance;
    }
}

std::optional<double> TaskTruths::level(const Setup& setup, const SimulatedStation& observer,
                                        int condition) const {
    const TaskPlan* task = task_of(setup, condition);
    if (task == nullptr || dimensions(task->spec.levels) != 1)
        return std::nullopt;
    const int source = setup.source_of(setup.reference_half());
    const LinearDrive reference = setup.reference(condition);
    const JudgeTraits traits = observer.judge_traits(reference, source);
    const auto known = distance_.find(condition);
    const std::optional<double> wanted =
        known != distance_.end() ? known->second : distance_wanted(*task, traits);
    if (!wanted)
        return std::nullopt;
    const AdjustmentProblem problem = setup.adjustment(condition, observer.depth(source));
    const EyeOnScreen& eye = observer.eye_on(setup.source_of(setup.protocol().adjusted));
    const Eigen::Vector3d base = observer.eye_on(source).lms(reference);
    // Returns the distance of a level that is in gamut, and none for any other level.
    const auto distance = [&](double level) -> std::optional<double> {
        const DriveSolution light = stimulus_at(problem, Eigen::VectorXd::Constant(1, level));
        if (!light.in_gamut)
            return std::nullopt;
        return distance_of(traits, contrast_between(eye.lms(light.linear), base));
    };
    const auto falls_short = [&](double level) {
        const std::optional<double> reached = distance(level);
        return reached && *reached < *wanted;
    };
    double below = 0.0;
    double above = 1e-6;  // the smallest level that is looked at
    while (falls_short(above)) {
        below = above;
        above *= 2.0;
    }
    const double level = least_reaching(below, above, falls_short);
    // Where the gamut ends before the level is reached, the search has come to the gamut's border.
    return distance(level) >= wanted ? std::optional(level) : std::nullopt;
}

void SessionTally::Settings::add(const Eigen::Vector3d& contrast) {
    ++count;
    const Eigen::Vector3d from_mean = contrast - mean;
    mean += from_mean / count;
    squares += from_mean.cwiseProduct(contrast - mean);
}

SessionTally::SessionTally(const Setup& setup, const SimulatedStation& observer, const TaskTruths& truths,
                           std::uint64_t seed)
    : setup_(setup), observer_(observer), seed_(seed) {
    const Protocol& protocol = setup.protocol();
    for (int i = 0; i < static_cast<int>(protocol.conditions.size()); ++i) {
        conditions_[protocol.conditions[static_cast<std::size_t>(i)].name] = i;
        if (task_of(setup, i) != nullptr)
            true_levels_[i] = truths.level(setup, observer, i);
    }
    for (int i = 0; i < setup.source_count(); ++i)
        sources_[protocol.rig.sources[static_cast<std::size_t>(i)].name] = i;
    sums_.settings.resize(protocol.conditions.size());
}

Eigen::Vector3d SessionTally::seen(const HalfRecord& half) const {
    return observer_.eye_on(sources_.at(half.source))
        .lms({Eigen::Map<const Eigen::VectorXd>(half.linear.data(),
                                                static_cast<Eigen::Index>(half.linear.size()))});
}

void SessionTally::hear(const SettingRecord& setting) {
    Settings& settings = sums_.settings[static_cast<std::size_t>(condition_of(setting.condition))];
    settings.add(observer_.contrast_seen(seen(setting.adjusted), seen(setting.reference)));
    settings.moved_starts += setting.start_shrunk_to < 1.0 ? 1 : 0;
    settings.refused_steps =
        std::accumulate(setting.refused_steps.begin(), setting.refused_steps.end(), settings.refused_steps);
}

void SessionTally::hear(const std::string& kind, const nlohmann::json& data) {
    if (kind == "setting_timed_out") {
        ++sums_
              .settings[static_cast<std::size_t>(
                  condition_of(data.at("condition").get_ref<const std::string&>()))]
              .timed_out;
    } else if (kind == "answer") {
        Answers& answers = answers_[data.at("run").get<int>()];
        answers.condition = condition_of(data.at("condition").get_ref<const std::string&>());
        AnswerRecord answer;
        answer.form = data.at("form").get<std::string>();
        answer.answer = data.at("answer").get<std::string>();
        answer.answer_value = data.at("answer_value").get<int>();
        answers.responses.push_back(response_of(answer));
    } else if (kind == "session_ended") {
        sums_.finished = data.at("reason") == "finished";
    }
}

SessionTally::TaskRun SessionTally::ended(int run, const Answers& answers) const {
    const TaskSpec& spec = task_of(setup_, answers.condition)->spec;
    TaskState state = start(spec, run_seed(seed_, run));
    for (const TrialResponse& response : answers.responses)
        state = respond(spec, std::move(state), response);
    const TaskResult found = result(spec, state);
    TaskRun ended;
    ended.condition = answers.condition;
    ended.trials = static_cast<int>(answers.responses.size());
    ended.practice_failed = found.phase == TaskPhase::practice_failed;
    const std::optional<double>& true_level = true_levels_.at(answers.condition);
    const std::optional<double> estimate = log10_estimate(spec.levels, found.levels);
    if (true_level && estimate && !ended.practice_failed)
        ended.log10_ratio = *estimate - std::log10(*true_level);
    return ended;
}

SessionTally::Sums SessionTally::sums(double duration_s) const {
    Sums sums = sums_;
    sums.duration_s = duration_s;
    for (const auto& [run, answers] : answers_)
        sums.runs.push_back(ended(run, answers));
    return sums;
}

}  // namespace isoseam
