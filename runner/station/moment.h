#pragma once
// One moment of a session: what the observer may do now, and what the observer did.

#include <optional>
#include <string>
#include <vector>

#include "protocols/procedures/adjustment.h"
#include "protocols/procedures/trial.h"
#include "stimuli/drive_solution.h"

namespace isoseam {

// Lights to tell apart: for observers who are not there.
struct Comparison {
    LinearDrive reference;            // what a place without a target shows
    std::vector<LinearDrive> places;  // what each place, or interval in turn, shows; in gamut
    std::vector<int> source;          // that lights each place
    int reference_source = 0;
};

// What the observer may do now. Anything else that is pressed is ignored, and counted.
struct Expected {
    enum class Kind {
        nothing,     // escape alone
        go_on,       // accept
        adjustment,  // steps along `axes`, and accept
        answer,      // to a trial of this form
        choice,      // move up or down among `choices`, or a digit; accept
        number,      // typed; accept
        browse,      // go on to the next scene of a lecture, or back
    };
    Kind kind = Kind::go_on;
    int axes = 0;
    AnswerForm form = AnswerForm::yes_no;
    std::vector<std::string>
        places{};        // of a place: "left", "upper left", "first" (interval), in their order
    int categories = 0;  // of a rating
    int choices = 0;
    double lowest = 0.0;  // of a number
    double highest = 0.0;
    std::optional<Comparison> comparison{};
    const AdjustmentProblem* problem = nullptr;  // of an adjustment, for observers who are not there
};

// What the observer did.
struct Action {
    enum class Kind {
        none,         // nothing within the time waited
        step,         // `step` says which way
        accept,       // "both halves look the same", or "go on" on a page
        escape,       // the first of two
        interrupted,  // something keeps the observer from seeing or answering: `reason` says what; told once
        ended,        // a presentation has shown its last frame
        answer,       // to a trial: `answer` says which
        move,         // in a list of choices, or from scene to scene: `move` says which way
        typed,        // a digit, '.', '-', or '\b' that takes back
    };
    Kind kind = Kind::none;
    AdjustmentResponse step;
    std::string reason = {};  // in plain words for the record
    bool asked = false;       // interrupted by the experimenter at the desk: nothing needs mending
    TrialResponse answer{};
    int move = 0;  // -1 up or back, +1 down or on
    char typed = 0;
};

}  // namespace isoseam
