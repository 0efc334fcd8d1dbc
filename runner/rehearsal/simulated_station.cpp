#include "runner/rehearsal/simulated_station.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/errors.h"
#include "colorimetry/population.h"
#include "protocols/setup/setup.h"
#include "runner/station/word_station.h"

namespace isoseam {
namespace {

// These reaction times are invented. They move a session's clock and describe nobody. They are log-normal and
// shifted, so that no response comes sooner than the shift.
struct ReactionTime {
    double shift_s, median_s, log_sd;  // of the part that is added to the shift
};
constexpr ReactionTime kStepTime{0.15, 0.20, 0.35};
constexpr ReactionTime kAnswerTime{0.25, 0.45, 0.40};
constexpr double kReadingTimeSeconds = 8.0;

// The length from which on something counts as a target: the criterion of JudgeTraits. Half of all observers
// have a lower criterion. With this criterion 1 in 10 trials without a target is called a target (chi
// distribution of three degrees of freedom).
constexpr double kMedianCriterion = 2.5;
constexpr double kCriterionLogSd = 0.1;
// However far its criterion drifts, an observer does not call everything a target.
constexpr double kLeastCriterion = 0.5;

// Each simulated observer has this many counters for itself.
constexpr std::uint64_t kDrawsPerObserver = std::uint64_t{1} << 32U;
// The counters of the observer's own traits lie far beyond those of its answers.
constexpr std::uint64_t kTraitDraws = kDrawsPerObserver - kDrawsPerAnswer;

constexpr double kSecondsPerHour = 3600.0;

// Returns the contrast that still flickers when colours fuse: that of the eye's own V_F.
double luminance_contrast(const Eigen::Vector3d& contrast, const Observer& eye,
                          const Eigen::Vector3d& reference) {
    const Eigen::Vector2d weights = eye.luminous_efficiency_weights().cwiseProduct(reference.head<2>());
    return weights.dot(contrast.head<2>()) / weights.sum();
}

// Returns a whole number in the middle of a range, if the range holds one.
std::string number_within(double lowest, double highest) {
    const double middle = 0.5 * (lowest + highest);
    const double whole = std::floor(middle);
    return fmt::format("{:.6g}", whole >= lowest ? whole : middle);
}

}  // namespace

SimulatedStation::SimulatedStation(const Setup& setup, std::uint64_t seed, std::uint64_t index,
                                   const SimulatedTraits& traits, DitherKind dither)
    : setup_(setup),
      settings_{seed, kStreamSimulatedSetting},
      reactions_{seed, kStreamSimulatedReaction},
      answers_{seed, kStreamSimulatedAnswer},
      traits_(traits),
      eye_(sampled_eye(setup.observer().parameters(), seed, index).eye),
      criterion_(kMedianCriterion *
                 std::exp(kCriterionLogSd * answers_.normal(index * kDrawsPerObserver + kTraitDraws))),
      drift_direction_(answers_.below(index * kDrawsPerObserver + kTraitDraws + 1, 2) == 1 ? 1 : -1),
      sources_(sources_as_calibrated(setup)),
      trials_(index * kDrawsPerObserver),
      responses_(index * kDrawsPerObserver),
      answered_(index * kDrawsPerObserver) {
    for (SourceRecord& source : sources_) {
        source.dither = to_string(dither);
        depths_.emplace_back(source.bits, dither);
        screens_.emplace_back(eye_, setup.solver(static_cast<int>(screens_.size())).display());
    }
}

void SimulatedStation::forget_presses() {
    hand_.reset();
    due_s_.reset();
}

void SimulatedStation::expect(const Expected& expected) {
    if (expected.index() != expected_.index()) {
        due_s_.reset();
        typing_.reset();
    }
    expected_ = expected;
}

LinearDrive SimulatedStation::emitted(const LinearDrive& linear, int source) const {
    return shown_linear(linear, setup_.solver(source).display(), depth(source));
}

double SimulatedStation::drift_now() const {
    return drift_direction_ * traits_.drift_per_hour * clock_s_ / kSecondsPerHour;
}

std::unique_ptr<SimulatedHand> SimulatedStation::new_hand(const ExpectAdjustment& wanted) {
    ISOSEAM_CHECK(wanted.problem != nullptr, "an adjustment is wanted, and nothing said of what");
    const AdjustmentProblem& problem = *wanted.problem;
    const EyeOnScreen& eye = eye_on(setup_.source_of(setup_.protocol().adjusted));
    const LinearDrive match = problem.solver->solve(problem.predicted).linear;
    const Eigen::Vector3d deviates(settings_.normal(3 * trials_), settings_.normal(3 * trials_ + 1),
                                   settings_.normal(3 * trials_ + 2));
    Eigen::Vector3d aim =
        noise_root(traits_.noise, eye, match) * (deviates + Eigen::Vector3d::Constant(drift_now()));
    if (setup_.protocol().flicker)
        aim.setConstant(aim[0]);
    ++trials_;
    return std::make_unique<SimulatedHand>(problem, eye, aim);
}

double SimulatedStation::show_field(const FieldLights& lights) {
    page_ = false;
    const auto* const adjustment = std::get_if<ExpectAdjustment>(&expected_);
    if (adjustment == nullptr)
        return clock_s_;
    if (!hand_)
        hand_ = new_hand(*adjustment);
    const auto caught = [&](Half half) {
        const int source = setup_.source_of(half);
        return eye_on(source).lms(emitted(lights.halves[static_cast<std::size_t>(half)], source));
    };
    seen_ = contrast_seen(caught(setup_.protocol().adjusted), caught(setup_.reference_half()));
    return clock_s_;
}

Eigen::Vector3d SimulatedStation::contrast_seen(const Eigen::Vector3d& adjusted,
                                                const Eigen::Vector3d& reference) const {
    const Eigen::Vector3d contrast = contrast_between(adjusted, reference);
    if (!setup_.protocol().flicker)
        return contrast;
    return Eigen::Vector3d::Constant(luminance_contrast(contrast, eye_, reference));
}

double SimulatedStation::reaction_s() {
    if (page_ && std::holds_alternative<ExpectGoOn>(expected_))
        return kReadingTimeSeconds;
    const ReactionTime& time = std::holds_alternative<ExpectAdjustment>(expected_) ? kStepTime : kAnswerTime;
    return time.shift_s + time.median_s * std::exp(time.log_sd * reactions_.normal(responses_++));
}

Action SimulatedStation::wait(double timeout_s) {
    if (std::holds_alternative<ExpectNothing>(expected_)) {
        clock_s_ += timeout_s;
        return {};
    }
    if (!due_s_)
        due_s_ = clock_s_ + reaction_s();
    if (*due_s_ > clock_s_ + timeout_s) {
        clock_s_ += timeout_s;
        return {};
    }
    clock_s_ = std::max(clock_s_, *due_s_);
    due_s_.reset();
    return act();
}

Action SimulatedStation::act() {
    if (std::holds_alternative<ExpectAdjustment>(expected_))
        return steer();
    if (const auto* const wanted = std::get_if<ExpectAnswer>(&expected_))
        return answer(*wanted);
    if (std::holds_alternative<ExpectChoice>(expected_))
        return fill_in("1");  // an observer takes the first of the choices
    if (const auto* const wanted = std::get_if<ExpectNumber>(&expected_))
        return fill_in(number_within(wanted->lowest, wanted->highest));
    return Accepted{};
}

Action SimulatedStation::steer() {
    if (!hand_)  // the field is not there yet
        return NoAction{};
    const AdjustmentResponse response = hand_->next(seen_);
    if (response.kind == AdjustmentResponse::Kind::accept)
        return Accepted{};
    return StepTaken{.axis = response.axis, .direction = response.direction, .coarse = response.coarse};
}

JudgeTraits SimulatedStation::judge_traits(const LinearDrive& reference, int source) const {
    SettingNoise noise = traits_.noise;
    for (double* deviation : {&noise.l, &noise.m, &noise.s})
        *deviation = std::max(*deviation, kLeastNoiseContrast);
    return {noise_root(noise, eye_on(source), reference), std::max(criterion_ + drift_now(), kLeastCriterion),
            traits_.lapses};
}

Action SimulatedStation::answer(const ExpectAnswer& wanted) {
    ISOSEAM_CHECK(wanted.comparison.has_value(), "an answer is wanted, and nothing to compare");
    const Comparison& comparison = *wanted.comparison;
    const int source = comparison.reference_source;
    const LinearDrive reference = emitted(comparison.reference, source);
    const Eigen::Vector3d reference_lms = eye_on(source).lms(reference);
    std::vector<Eigen::Vector3d> contrasts;
    for (std::size_t i = 0; i < comparison.places.size(); ++i) {
        const int lit_by = comparison.source[i];
        contrasts.push_back(
            contrast_between(eye_on(lit_by).lms(emitted(comparison.places[i], lit_by)), reference_lms));
    }
    const TrialResponse answer = judge(judge_traits(reference, source), wanted.form, contrasts,
                                       wanted.categories, answers_, answered_);
    answered_ += kDrawsPerAnswer;
    return Answered{answer};
}

// Types the text one character after the other, and then accepts it.
Action SimulatedStation::fill_in(const std::string& text) {
    if (!typing_)
        typing_ = text;
    if (typing_->empty()) {
        typing_.reset();
        return Accepted{};
    }
    const char next = typing_->front();
    typing_->erase(0, 1);
    return Typed{next};
}

nlohmann::json SimulatedStation::description() const {
    const ObserverParameters& eye = eye_.parameters();
    const SettingNoise& noise = traits_.noise;
    const auto time = [](const ReactionTime& of) {
        return nlohmann::json{{"shift_s", of.shift_s}, {"median_s", of.median_s}, {"log_sd", of.log_sd}};
    };
    return {{"eye",
             {{"description", eye_.description()},
              {"lens_percent", eye.lens_percent},
              {"macular_percent", eye.macular_percent},
              {"density_l_percent", eye.density_l_percent},
              {"density_m_percent", eye.density_m_percent},
              {"density_s_percent", eye.density_s_percent},
              {"shift_l_nm", eye.shift_l_nm},
              {"shift_m_nm", eye.shift_m_nm},
              {"shift_s_nm", eye.shift_s_nm}}},
            {"noise", to_string(noise.kind)},
            {"setting_noise_contrast", {noise.l, noise.m, noise.s}},
            {"setting_noise_luminance", noise.luminance},
            {"criterion_sd", criterion_},
            {"lapses_share", traits_.lapses},
            {"drift_sd_per_hour", drift_direction_ * traits_.drift_per_hour},
            {"reaction_of_a_step", time(kStepTime)},
            {"reaction_of_an_answer", time(kAnswerTime)}};
}

}  // namespace isoseam
