#pragma once
// What the questions of a task have in common. Each question says what a trial shows, and judges the answer:
//     faults(question) -> faults
//     pose(question, seed, index) -> Pose
//     judge(question, request, response) -> Verdict
// `index` counts the trials that are not catch trials, from 0.

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
    std::optional<bool> right;    // It has no value where no answer is right or wrong.
    std::optional<bool> success;  // This drives the level. It has no value where the trial had no target.
    bool operator==(const Verdict&) const = default;
};

}  // namespace isoseam
