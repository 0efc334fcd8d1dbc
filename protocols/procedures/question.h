#pragma once
// What the questions of a task have in common: each says what is shown for it, and judges the answer.
//     faults(question) -> faults
//     pose(question, seed, index) -> Pose           the index-th trial that is not a catch trial, from 0
//     judge(question, request, response) -> Verdict

#include <optional>

#include "protocols/procedures/trial.h"

namespace isoseam {

struct Pose {
    AnswerForm form = AnswerForm::yes_no;
    bool target = true;
    int places = 1;
    std::optional<int> target_place;
    int categories = 0;
};

struct Verdict {
    std::optional<bool> right;    // none where nothing is right or wrong
    std::optional<bool> success;  // what drives the level; none where the trial had no target
    bool operator==(const Verdict&) const = default;
};

}  // namespace isoseam
