#include "protocols/procedures/task.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/random.h"

namespace isoseam {
namespace {

bool has_catch_trials(const TaskSpec& spec) {
    return spec.catch_trials.share.has_value() || spec.catch_trials.every.has_value();
}

void check_catch_trials(SpecFaults& found, const TaskSpec& spec) {
    const bool same_different = std::holds_alternative<SameDifferent>(spec.question);
    if (has_catch_trials(spec))
        found.require(!same_different, "catch_trials", "the question same_different has trials alike",
                      "leave catch trials out and write same_share");
    if (spec.catch_trials.share)
        found.require(*spec.catch_trials.share > 0.0 && *spec.catch_trials.share <= 0.5, "catch_trials.share",
                      fmt::format("{:g} of the trials", *spec.catch_trials.share),
                      "write a share above 0, at most 0.5");
    if (spec.catch_trials.every)
        found.require(*spec.catch_trials.every >= 2, "catch_trials.every",
                      fmt::format("one of each {} trials", *spec.catch_trials.every), "write at least 2");
    found.require(!(spec.catch_trials.share && spec.catch_trials.every), "catch_trials",
                  "both a share and a count", "write share or every");
    if (has_catch_trials(spec) || same_different)
        found.require(
            is_level(spec.no_target) && static_cast<int>(spec.no_target.size()) == dimensions(spec.levels),
            "no_target",
            fmt::format("{} numbers for {} dimensions", spec.no_target.size(), dimensions(spec.levels)),
            "write the level of a trial without a target");
}

void check_practice(SpecFaults& found, const TaskSpec& spec, const Practice& practice) {
    found.require(!practice.levels.empty(), "practice.levels", "there is no level", "write at least one");
    for (std::size_t i = 0; i < practice.levels.size(); ++i)
        found.require(
            is_level(practice.levels[i]) &&
                static_cast<int>(practice.levels[i].size()) == dimensions(spec.levels),
            fmt::format("practice.levels[{}]", i),
            fmt::format("{} numbers for {} dimensions", practice.levels[i].size(), dimensions(spec.levels)),
            "give it the dimensions of the levels");
    found.require(practice.of >= 1, "practice.of", fmt::format("the last {} answers", practice.of),
                  "write at least 1");
    found.require(practice.right >= 1 && practice.right <= practice.of, "practice.right",
                  fmt::format("{} right of {}", practice.right, practice.of),
                  "write 1 to as many as `of` says");
    found.require(practice.most >= practice.of, "practice.most",
                  fmt::format("{} trials for {} answers", practice.most, practice.of),
                  "write at least as many as `of` says");
}

void check_rating(SpecFaults& found, const TaskSpec& spec, const Rating& rating) {
    if (rating.seen_from)
        return;
    found.require(!needs_success(spec.levels), "seen_from", "the level depends on success, a rating is none",
                  "say from which category on it was seen, or use constant stimuli");
    found.require(!spec.practice, "seen_from", "practice waits for right answers, a rating is none",
                  "say from which category on it was seen, or leave practice out");
    found.require(!spec.feedback, "feedback", "a rating is neither right nor wrong",
                  "say from which category on it was seen, or leave feedback out");
}

// An observer who must choose one of n places guesses right in 1/n of the trials. The guess rates of the
// Bayesian procedure must include that share.
void check_guess(SpecFaults& found, const ForcedChoice& choice, const BayesianAdaptiveSpec& levels) {
    // A share may be written with three decimals, such as 0.333.
    constexpr double kRounding = 1e-3;
    if (choice.places < 2 || levels.guess.values.empty())
        return;
    const double chance = 1.0 / choice.places;
    const auto [least, most] = std::minmax_element(levels.guess.values.begin(), levels.guess.values.end());
    found.require(
        *least <= chance + kRounding && *most >= chance - kRounding, "guess",
        fmt::format("{:g} to {:g} leaves out the chance among {} places", *least, *most, choice.places),
        fmt::format("write {:.3g}", chance));
}

bool is_catch_trial(const CatchTrials& catch_trials, std::uint64_t seed, int number) {
    const RandomStream random{seed, kStreamCatchTrials};
    const auto index = static_cast<std::uint64_t>(number - 1);
    if (catch_trials.share)
        return random.uniform(index) < *catch_trials.share;
    if (!catch_trials.every)
        return false;
    const auto every = static_cast<std::uint64_t>(*catch_trials.every);
    return index % every == random.below(index / every, every);
}

// What the next trial shows. There is no next trial once the levels have ended.
std::optional<TrialRequest> request_after(const TaskSpec& spec, const TaskState& state) {
    if (state.phase != TaskPhase::practice && state.phase != TaskPhase::measuring)
        return std::nullopt;
    TrialRequest request;
    request.practice = state.phase == TaskPhase::practice;
    const std::optional<LevelRequest> asked = next_trial(spec.levels, state.levels);
    if (!asked)
        return std::nullopt;
    const Pose posed = std::visit(
        [&](const auto& question) { return pose(question, state.seed, state.posed); }, spec.question);
    request.number = static_cast<int>(state.answered.size()) + 1;
    request.form = posed.form;
    request.places = posed.places;
    request.categories = posed.categories;
    request.catch_trial = is_catch_trial(spec.catch_trials, state.seed, request.number);
    request.target = posed.target && !request.catch_trial;
    if (request.target)
        request.target_place = posed.target_place;
    if (!request.target)
        request.level = spec.no_target;
    else if (request.practice)
        request.level =
            spec.practice->levels[static_cast<std::size_t>(state.posed) % spec.practice->levels.size()];
    else
        request.level = asked->level;
    request.track = request.target && !request.practice ? asked->track : 0;
    request.feedback = request.practice ? spec.practice->feedback : spec.feedback;
    return request;
}

TaskPhase phase_after_practice_trial(const Practice& practice, const std::vector<AnsweredTrial>& answered) {
    int judged = 0;
    int right = 0;
    for (auto trial = answered.rbegin(); trial != answered.rend() && judged < practice.of; ++trial) {
        if (!trial->verdict.right)
            continue;
        ++judged;
        right += *trial->verdict.right ? 1 : 0;
    }
    if (judged == practice.of && right >= practice.right)
        return TaskPhase::measuring;
    return static_cast<int>(answered.size()) >= practice.most ? TaskPhase::practice_failed
                                                              : TaskPhase::practice;
}

std::size_t answer_index(const AnsweredTrial& trial) {
    const auto value = static_cast<std::size_t>(trial.response.value);
    switch (trial.response.kind) {
        case TrialResponse::Kind::yes:
        case TrialResponse::Kind::different:
            return 1;
        case TrialResponse::Kind::rating:
            return value - 1;
        case TrialResponse::Kind::place:
            return trial.request.target ? static_cast<std::size_t>(*trial.verdict.right) : value;
        default:
            return 0;
    }
}

std::size_t answer_count(const TrialRequest& request) {
    if (request.form == AnswerForm::rating)
        return static_cast<std::size_t>(request.categories);
    if (request.form == AnswerForm::place && !request.target)
        return static_cast<std::size_t>(request.places);
    return 2;
}

void count_answer(std::vector<AnswerCounts>& answers, const AnsweredTrial& trial) {
    const TrialRequest& request = trial.request;
    auto row = std::find_if(answers.begin(), answers.end(), [&](const AnswerCounts& one) {
        return one.level == request.level && one.track == request.track && one.target == request.target;
    });
    if (row == answers.end())
        row = answers.insert(answers.end(), {request.level, request.track, request.target,
                                             std::vector<int>(answer_count(request), 0)});
    ++row->counts[answer_index(trial)];
}

}  // namespace

std::vector<Fault> faults(const TaskSpec& spec) {
    SpecFaults found;
    for (const Fault& fault : std::visit([](const auto& one) { return faults(one); }, spec.question))
        found.add(fault.key, fault.found, fault.remedy);
    for (const Fault& fault : faults(spec.levels))
        found.add(fault.key, fault.found, fault.remedy);
    check_catch_trials(found, spec);
    if (spec.practice)
        check_practice(found, spec, *spec.practice);
    if (const auto* rating = std::get_if<Rating>(&spec.question))
        check_rating(found, spec, *rating);
    const auto* choice = std::get_if<ForcedChoice>(&spec.question);
    const auto* bayesian = std::get_if<BayesianAdaptiveSpec>(&spec.levels);
    if (choice && bayesian)
        check_guess(found, *choice, *bayesian);
    return found.all();
}

int planned_trials(const TaskSpec& spec) {
    double trials = planned_trials(spec.levels);
    if (spec.catch_trials.share)
        trials /= 1.0 - *spec.catch_trials.share;
    if (spec.catch_trials.every)
        trials *= *spec.catch_trials.every / (*spec.catch_trials.every - 1.0);
    if (const auto* same_different = std::get_if<SameDifferent>(&spec.question))
        trials /= 1.0 - same_different->same_share;
    return static_cast<int>(std::lround(trials)) + (spec.practice ? spec.practice->of : 0);
}

TaskState start(const TaskSpec& spec, std::uint64_t seed) {
    throw_if_any(faults(spec));
    TaskState state;
    state.seed = seed;
    state.phase = spec.practice ? TaskPhase::practice : TaskPhase::measuring;
    state.levels = start(spec.levels, seed);
    state.next = request_after(spec, state);
    return state;
}

std::optional<TrialRequest> next_trial(const TaskSpec&, const TaskState& state) {
    return state.next;
}

TaskState respond(const TaskSpec& spec, TaskState state, const TrialResponse& response) {
    ISOSEAM_CHECK(state.next.has_value(), "the task has ended");
    const TrialRequest request = *state.next;
    const Verdict verdict =
        std::visit([&](const auto& question) { return judge(question, request, response); }, spec.question);
    state.answered.push_back({request, response, verdict});
    state.posed += request.catch_trial ? 0 : 1;
    if (request.practice)
        state.phase = phase_after_practice_trial(*spec.practice, state.answered);
    else if (request.target)
        state.levels = respond(spec.levels, std::move(state.levels), verdict.success);
    state.next = request_after(spec, state);
    if (!state.next && state.phase == TaskPhase::measuring)
        state.phase = TaskPhase::done;
    return state;
}

TaskResult result(const TaskSpec& spec, const TaskState& state) {
    TaskResult made;
    made.phase = state.phase;
    for (const AnsweredTrial& trial : state.answered) {
        made.practice_trials += trial.request.practice ? 1 : 0;
        if (trial.request.practice)
            continue;
        ++made.measured_trials;
        made.catch_trials += trial.request.catch_trial ? 1 : 0;
        count_answer(made.answers, trial);
    }
    made.levels = result(spec.levels, state.levels);
    return made;
}

}  // namespace isoseam
