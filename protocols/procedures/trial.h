#pragma once
// What a procedure asks for and what it is told. All procedures use the same vocabulary.
//
// A procedure is a pure state machine with one signature:
//     start(spec, seed) -> state              throws one InputError with all faults of the spec
//     next_trial(spec, state) -> request      gives nullopt when the run has ended
//     respond(spec, state, response) -> state
//     result(spec, state) -> result
// All random draws are functions of the seed and a counter. The seed and the responses therefore determine
// the state, and nothing else need be kept. A response after the end, or of another form than was asked for,
// is a programmer's fault. A procedure knows nothing of lights: only its caller knows what a level means.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/errors.h"

namespace isoseam {

// Numbers on one to three dimensions (a position of the adjustment may have more).
using Level = std::vector<double>;

// What a procedure that drives the level asks for (a staircase, constant stimuli, a Bayesian procedure). It
// is then told whether the observer succeeded.
struct LevelRequest {
    Level level;
    int track = 0;  // The index of the track, where tracks are interleaved.
    bool operator==(const LevelRequest&) const = default;
};

enum class AnswerForm {
    yes_no,          // was there a target?
    place,           // in which place, or interval, was it?
    same_different,  // were both the same?
    rating,          // which category?
    adjustment,      // steps until the setting is accepted
};

struct TrialRequest {
    // The trial's number in the run, from 1, practice included. In an adjustment it is the setting's number.
    int number = 0;
    AnswerForm form = AnswerForm::yes_no;
    // The level of the target. In a trial without a target it is the level that the spec calls no_target.
    Level level;
    int track = 0;  // The index of the track, where tracks are interleaved.
    bool target = true;
    bool practice = false;
    // A catch trial has no target. It shows how the observer answers where there is nothing.
    bool catch_trial = false;
    int places = 1;                   // The number of places that the observer compares.
    std::optional<int> target_place;  // From 0 to places - 1. No value where there is nothing to find.
    int categories = 0;               // The number of categories of a rating.
    bool feedback = false;            // Whether the observer is told if the answer was right.
    bool operator==(const TrialRequest&) const = default;
};

struct TrialResponse {
    enum class Kind {
        yes,
        no,
        same,
        different,
        place,   // `value` is the place, from 0 to places - 1.
        rating,  // `value` is the category, from 1.
        step,    // `value` is the direction, +1 or -1.
        accept,
        waiting,  // Nothing was pressed in an adjustment. Such a response only tells the time.
    };
    Kind kind = Kind::yes;
    int value = 0;
    int axis = 0;          // The axis of a step.
    bool coarse = false;   // Whether a step is a coarse one.
    double elapsed_s = 0;  // The time since the trial began, for time limits. At least 0.
};
std::string to_string(AnswerForm form);
std::string to_string(TrialResponse::Kind kind);

// The seed of one run of a procedure within a session. Runs count from 0.
std::uint64_t run_seed(std::uint64_t session_seed, int run);

// Collects faults of a spec. Their keys are those that the author of a protocol writes.
class SpecFaults {
  public:
    void add(const std::string& key, const std::string& found, const std::string& remedy);
    // Adds the fault unless `good` is true. Write conditions so that they are false for NaN.
    void require(bool good, const std::string& key, const std::string& found, const std::string& remedy);
    // Adds the faults of a part of the spec, with their keys put below `key`.
    void add_below(const std::string& key, const std::vector<Fault>& faults);
    const std::vector<Fault>& all() const { return faults_; }

  private:
    std::vector<Fault> faults_;
};

// True for one to three finite numbers.
bool is_level(const Level& level);

}  // namespace isoseam
