#pragma once
// What may be expected of an observer, one after the other.

#include "runner/station/station.h"

namespace isoseam::test {

inline Expected of_kind(Expected::Kind kind) {
    Expected moment;
    moment.kind = kind;
    return moment;
}
inline Expected adjusting(int axes) {
    Expected moment = of_kind(Expected::Kind::adjustment);
    moment.axes = axes;
    return moment;
}
inline Expected asking(AnswerForm form) {
    Expected moment = of_kind(Expected::Kind::answer);
    moment.form = form;
    return moment;
}
inline Expected asking_where(std::vector<std::string> places) {
    Expected moment = asking(AnswerForm::place);
    moment.places = std::move(places);
    return moment;
}
inline Expected rating(int categories) {
    Expected moment = asking(AnswerForm::rating);
    moment.categories = categories;
    return moment;
}
inline Expected choosing(int choices) {
    Expected moment = of_kind(Expected::Kind::choice);
    moment.choices = choices;
    return moment;
}
inline Expected typing(double lowest, double highest) {
    Expected moment = of_kind(Expected::Kind::number);
    moment.lowest = lowest;
    moment.highest = highest;
    return moment;
}

inline std::vector<Expected> every_moment() {
    return {of_kind(Expected::Kind::nothing),
            of_kind(Expected::Kind::go_on),
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
