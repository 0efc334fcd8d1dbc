#pragma once
// What a procedure asks for and what it is told: one vocabulary for all of them.
//
// A procedure is a pure state machine with one signature:
//     start(spec, seed) -> state              throws one InputError with all faults of the spec
//     next_trial(spec, state) -> request      none when the run has ended
//     respond(spec, state, response) -> state
//     result(spec, state) -> result
// Its draws are functions of the seed and a counter, so a state is the fold of its responses, and nothing but
// the seed and the responses need be kept. A response after the end, or of another form than was asked for,
// is a programmer's fault. A procedure knows nothing of lights: what a level means is its caller's affair.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/errors.h"

namespace isoseam {

// Numbers on one to three dimensions (a position of the adjustment may have more).
using Level = std::vector<double>;

// What drives the level (a staircase, constant stimuli, a Bayesian procedure) asks for this, and is told
// whether the observer succeeded.
struct LevelRequest {
    Level level;
    int track = 0;  // of interleaved tracks, from 0
    bool operator==(const LevelRequest&) const = default;
};

enum class AnswerForm {
    yes_no,          // was there a target?
    place,           // in which place, or interval, was it?
    same_different,  // were both the same?
    rating,          // which category?
    adjustment,      // steps, then acceptance
};

struct TrialRequest {
    int number = 0;  // 1 .. in the run, practice included; in an adjustment that of the setting
    AnswerForm form = AnswerForm::yes_no;
    Level level;    // of the target; without a target the level that the spec calls no_target
    int track = 0;  // of interleaved tracks, from 0
    bool target = true;
    bool practice = false;
    bool catch_trial = false;  // measured, without a target, to see how the observer answers to nothing
    int places = 1;            // that the observer compares
    std::optional<int> target_place;  // 0 .. places-1; none where there is nothing to find
    int categories = 0;               // of a rating
    bool feedback = false;            // tell the observer whether the answer was right
    bool operator==(const TrialRequest&) const = default;
};

struct TrialResponse {
    enum class Kind {
        yes,
        no,
        same,
        different,
        place,   // value: 0 .. places-1
        rating,  // value: 1 .. categories
        step,    // value: direction, +1 or -1
        accept,
        waiting,  // of an adjustment: nothing was pressed; tells the time only
    };
    Kind kind = Kind::yes;
    int value = 0;
    int axis = 0;          // of a step
    bool coarse = false;   // of a step
    double elapsed_s = 0;  // since the trial began, for time limits; >= 0
};
std::string to_string(AnswerForm form);
std::string to_string(TrialResponse::Kind kind);

// The seed of one run of a procedure within a session (runs count from 0).
std::uint64_t run_seed(std::uint64_t session_seed, int run);

// Collects faults of a spec; keys are those that an author of a protocol writes.
class SpecFaults {
  public:
    void add(const std::string& key, const std::string& found, const std::string& remedy);
    // Adds the fault unless `good`: write conditions so that NaN fails.
    void require(bool good, const std::string& key, const std::string& found, const std::string& remedy);
    // Faults of a part, their keys below `key`.
    void add_below(const std::string& key, const std::vector<Fault>& faults);
    const std::vector<Fault>& all() const { return faults_; }

  private:
    std::vector<Fault> faults_;
};
// One InputError with all of them, if there are any.
void throw_faults(const std::vector<Fault>& faults);

// True for one to three finite numbers.
bool is_level(const Level& level);

}  // namespace isoseam
