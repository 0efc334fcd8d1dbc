#pragma once
// One moment of a session: what the observer may do now, and what the observer did.
//
//     station.expect(ExpectAdjustment{.axes = 2, .problem = &problem});
//     const Action action = station.wait(0.5);
//     if (const auto* step = std::get_if<StepTaken>(&action))
//         move_light(step->axis, step->direction);

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "protocols/procedures/adjustment.h"
#include "protocols/procedures/trial.h"
#include "stimuli/drive_solution.h"

namespace isoseam {

// ---- What the observer may do now ----

// Only an escape counts.
struct ExpectNothing {};

// The observer accepts what a page says.
struct ExpectGoOn {};

// The observer steps along `axes` axes, and accepts.
struct ExpectAdjustment {
    int axes = 0;
    const AdjustmentProblem* problem = nullptr;  // simulated observers need it, other stations do not
};

// The lights among which an answer tells a target. Simulated observers compare them.
struct Comparison {
    LinearDrive reference;            // what a place without a target shows
    std::vector<LinearDrive> places;  // what each place, or each interval in turn, shows; in gamut
    std::vector<int> source;          // the source that lights each place
    int reference_source = 0;
};

// The observer answers a trial; `form` is any but `adjustment`.
struct ExpectAnswer {
    AnswerForm form = AnswerForm::yes_no;
    // The names of the places in their order, where one of them is asked for: "left", "upper left", "first"
    // (which is an interval).
    std::vector<std::string> places{};
    int categories = 0;                      // how many, where a rating is asked for
    std::optional<Comparison> comparison{};  // simulated observers need it, other stations do not
};

// The observer moves up or down among the choices or types the digit of one, and accepts.
struct ExpectChoice {
    int choices = 0;
};

// The observer types a number within these bounds, and accepts.
struct ExpectNumber {
    double lowest = 0.0;
    double highest = 0.0;
};

// The lecturer turns to the next scene of a lecture, or back.
struct ExpectSceneTurn {};

// Anything else that is pressed is ignored and counted; an escape always counts.
using Expected = std::variant<ExpectGoOn, ExpectNothing, ExpectAdjustment, ExpectAnswer, ExpectChoice,
                              ExpectNumber, ExpectSceneTurn>;

// ---- What the observer did ----

// The observer did nothing within the time waited.
struct NoAction {};

struct StepTaken {
    int axis = 0;
    int direction = +1;  // +1 or -1
    bool coarse = false;
};

// The observer said "both halves look the same", or "go on" on a page.
struct Accepted {};

// The observer pressed Escape once; a second escape is a second action.
struct Escaped {};

// Something keeps the observer from seeing or answering. Each interruption is reported once.
struct Interrupted {
    std::string reason{};  // in plain words for the record
    // Whether the experimenter asked for it at the desk, so that nothing needs mending.
    bool asked = false;
};

// A presentation has shown its last frame.
struct PresentationEnded {};

struct Answered {
    TrialResponse response{};
};

// The observer moved in a list of choices, or from scene to scene.
struct Moved {
    int by = 0;  // -1: up or back; +1: down or on
};

struct Typed {
    char character = 0;  // a digit, '.', '-', or '\b', which takes the last character back
};

using Action = std::variant<NoAction, StepTaken, Accepted, Escaped, Interrupted, PresentationEnded, Answered,
                            Moved, Typed>;

// Whether an action ends a wait on every page and light.
inline bool stops(const Action& action) {
    return std::holds_alternative<Escaped>(action) || std::holds_alternative<Interrupted>(action);
}

}  // namespace isoseam
