#include "protocols/checks/task_cautions.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "protocols/checks/code_steps.h"
#include "protocols/setup/level_gamut.h"

namespace isoseam {
namespace {

// These three are rules of thumb (common practice, no source).
constexpr int kFewReversals = 6;       // An estimate should be made of at least so many reversals.
constexpr double kStepsToLimit = 2.0;  // The limits of a track should be so many steps away from its start.
constexpr double kAboveChance = 0.05;  // A staircase should converge so far above what guessing gives.

class TaskCautions {
  public:
    TaskCautions(const Setup& setup, int block, const TaskPlan& task, std::vector<Caution>& cautions)
        : setup_(setup), block_(block), task_(task), cautions_(cautions) {
        const std::string& name = setup.protocol().block(block).name;
        who_ = name.empty() ? "The task" : fmt::format("Block '{}'", name);
    }

    void note_caution_of_observer() const;
    void note_practice() const;
    void note_trial_time() const;
    void note_staircase() const;
    void note_coarse_levels(DitherKind dither) const;

  private:
    void add(const std::string& words) const {
        cautions_.push_back({CautionKind::task, fmt::format("{} {}", who_, words)});
    }
    int runs() const;

    const Setup& setup_;
    int block_;
    const TaskPlan& task_;
    std::vector<Caution>& cautions_;
    std::string who_;
};

int TaskCautions::runs() const {
    int runs = 0;
    for (const Condition& condition : setup_.protocol().conditions)
        runs += condition.block == block_ ? condition.repeats : 0;
    return runs;
}

void TaskCautions::note_caution_of_observer() const {
    const CatchTrials& catch_trials = task_.spec.catch_trials;
    if (std::holds_alternative<YesNo>(task_.spec.question) && !catch_trials.share && !catch_trials.every) {
        add("asks yes or no without catch trials: a threshold then hangs on how cautious the observer is, "
            "and "
            "nothing in the results shows it.");
    }
}

void TaskCautions::note_practice() const {
    if (!task_.spec.practice)
        add("has no practice: the first answers then show how the task is learnt as well as what is seen.");
}

void TaskCautions::note_trial_time() const {
    const bool two = task_.between_s > 0.0;
    const double least_s = task_.wait_s + (two ? 2.0 : 1.0) * task_.shown_s + task_.between_s;
    const double planned_s = setup_.protocol().block(block_).seconds_per_trial;
    if (least_s > planned_s) {
        add(
            fmt::format("takes {:.3g} s for each trial before anybody can answer, more than the {:.3g} s of "
                        "seconds_per_trial: the session will be longer than expected.",
                        least_s, planned_s));
    }
}

// The number of steps of the track from its start to a limit.
double steps_to(const StaircaseSpec& staircase, double start, double limit) {
    const double way =
        staircase.scale == StepScale::linear ? std::abs(limit - start) : std::abs(std::log10(limit / start));
    return way / (limit < start ? staircase.step_down : staircase.step_up).front();
}

void TaskCautions::note_staircase() const {
    const auto* staircase = std::get_if<StaircaseSpec>(&task_.spec.levels);
    if (staircase == nullptr)
        return;
    const double converges = convergence_level(*staircase);
    const auto* choice = std::get_if<ForcedChoice>(&task_.spec.question);
    if (choice != nullptr && converges < 1.0 / choice->places + kAboveChance) {
        add(fmt::format(
            "has a staircase that converges at {:.3g} % of successes, where guessing among {} "
            "places gives {:.3g} %: it would wander off. Let more successes go before a step down.",
            100.0 * converges, choice->places, 100.0 / choice->places));
    }
    if (staircase->tracks.size() == 1 && (!task_.interleaved || runs() == 1))
        add("has one staircase at a time: an observer can follow it and guess what comes. Two `tracks`, or "
            "`interleaved: yes`, hide it.");
    for (const StaircaseTrack& track : staircase->tracks) {
        const bool near_lowest = steps_to(*staircase, track.start, track.lowest) < kStepsToLimit;
        if (near_lowest || steps_to(*staircase, track.start, track.highest) < kStepsToLimit) {
            add(fmt::format(
                "has a staircase that starts within {:g} steps of its {} level: a track that meets "
                "its limit measures the limit.",
                kStepsToLimit, near_lowest ? "lowest" : "highest"));
            break;
        }
    }
    if (staircase->reversals && *staircase->reversals - staircase->discard < kFewReversals) {
        add(fmt::format("estimates from {} reversals, which is few: {} or more are usual.",
                        *staircase->reversals - staircase->discard, kFewReversals));
    }
}

// Looks at the smallest level that is not 0, in the condition where it moves the codes least.
void TaskCautions::note_coarse_levels(DitherKind dither) const {
    const Protocol& protocol = setup_.protocol();
    const Level* smallest = nullptr;
    double least = std::numeric_limits<double>::infinity();
    for (const AskedLevel& asked : task_.asked) {
        double size = 0.0;
        for (const double value : asked.level)
            size += value * value;
        if (size > 0.0 && size < least) {
            least = size;
            smallest = &asked.level;
        }
    }
    if (smallest == nullptr)
        return;
    const FrameDepth depth{setup_.solver(setup_.reference_half()).display().calibration().bits, dither};
    const int bits = setup_.solver(protocol.adjusted).display().calibration().bits;
    const double steps_of_code = std::exp2(effective_bits(bits, dither) - bits);
    const Eigen::Map<const Eigen::VectorXd> position(smallest->data(),
                                                     static_cast<Eigen::Index>(smallest->size()));
    double moved = std::numeric_limits<double>::infinity();
    const Condition* worst = nullptr;
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        if (protocol.conditions[i].block != block_)
            continue;
        const double codes =
            steps_of_code * codes_of(setup_.adjustment(static_cast<int>(i), depth), position, bits);
        if (codes < moved) {
            moved = codes;
            worst = &protocol.conditions[i];
        }
    }
    if (worst != nullptr && moved < 1.0) {
        const Block& block = protocol.block(block_);
        add(fmt::format(
            "can ask for the level {}, which is finer than the screen's steps at {}: in condition "
            "'{}' it moves no primary by more than {:.2g} of one.",
            level_text(block.space, worst->axes, *smallest), depth_words(bits, dither), worst->name, moved));
    }
}

}  // namespace

std::string depth_words(int bits, DitherKind dither) {
    return dither == DitherKind::none ? fmt::format("{} bits without dither", bits)
                                      : fmt::format("{} bits with dither ({} bits of a 2 deg field's mean)",
                                                    bits, effective_bits(bits, dither));
}

void note_tasks(const Setup& setup, DitherKind dither, std::vector<Caution>& cautions) {
    const Protocol& protocol = setup.protocol();
    for (std::size_t i = 0; i < protocol.blocks.size(); ++i) {
        const auto* task = std::get_if<TaskPlan>(&protocol.blocks[i].plan);
        if (task == nullptr)
            continue;
        const TaskCautions block(setup, static_cast<int>(i), *task, cautions);
        block.note_caution_of_observer();
        block.note_practice();
        block.note_trial_time();
        block.note_staircase();
        block.note_coarse_levels(dither);
    }
}

}  // namespace isoseam
