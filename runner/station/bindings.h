#pragma once
// What an observer may do at each moment, and which keys, buttons and words do it. One table serves those who
// hear presses, those who draw keys, and those who read words.
//
// Keys are named by their place on a common keyboard ("Left", "W"), whatever layout is set. Two hands are
// served: the right one steers with arrow keys, the left one with letters at the left of the keyboard, so
// that the other hand is free to accept.

#include <string>
#include <vector>

#include "runner/station/station.h"

namespace isoseam {

enum class KeySet { right_hand, left_hand, both };
KeySet parse_key_set(const std::string& word);  // InputError that lists the words

// One thing that may be done now.
struct Binding {
    Action action;     // a step is a fine one
    std::string word;  // what a script writes: "left", "upper-left", "rating-3"
    // The id of the phrase that says what it does. Without a phrase it is not shown.
    std::string hint;
    // Keys for either hand; the first one is shown. "char -" is the key that says - in the layout that is
    // set.
    std::vector<std::string> keys;
    std::vector<std::string> right_hand;  // places of keys; the first one is shown
    std::vector<std::string> left_hand;
    std::vector<std::string> buttons;  // buttons of a gamepad
    // A push of a gamepad's stick or trigger: "leftx", and its sign. A push makes a coarse step.
    std::string stick;
    int push = 0;
    bool repeats = false;  // a held key does it again and again
};

// What Expected allows, and Escape at the end. Things that have one hint stand together. Places are named as
// in ExpectAnswer; a place whose name tells no direction ("third") has a digit.
std::vector<Binding> bindings(const Expected& expected);

// Whether some moment knows the word; "type-..." is for the station that reads words.
bool is_word_of_some_moment(const std::string& word);

}  // namespace isoseam
