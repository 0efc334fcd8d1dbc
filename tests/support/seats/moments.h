#pragma once
// What may be expected of an observer, one after the other.

#include <string>
#include <utility>
#include <vector>

#include "runner/station/station.h"

namespace isoseam::test {

inline Expected adjusting(int axes) {
    return ExpectAdjustment{.axes = axes};
}
inline Expected asking(AnswerForm form) {
    return ExpectAnswer{.form = form};
}
inline Expected asking_where(std::vector<std::string> places) {
    return ExpectAnswer{.form = AnswerForm::place, .places = std::move(places)};
}
inline Expected rating(int categories) {
    return ExpectAnswer{.form = AnswerForm::rating, .categories = categories};
}
inline Expected choosing(int choices) {
    return ExpectChoice{choices};
}
inline Expected typing(double lowest, double highest) {
    return ExpectNumber{.lowest = lowest, .highest = highest};
}

inline std::vector<Expected> every_moment() {
    return {ExpectNothing{},
            ExpectGoOn{},
            adjusting(1),
            adjusting(2),
            adjusting(3),
            asking(AnswerForm::yes_no),
            asking(AnswerForm::same_different),
            asking_where({"left", "right"}),
            asking_where({"upper", "lower"}),
            asking_where({"left", "upper", "lower", "right"}),
            asking_where({"upper left", "upper right", "lower left", "lower right"}),
            asking_where({"first", "second"}),
            asking_where({"first", "second", "third", "fourth"}),
            rating(2),
            rating(10),
            choosing(3),
            choosing(12),
            typing(0.0, 100.0),
            typing(-10.0, 10.0)};
}

}  // namespace isoseam::test
