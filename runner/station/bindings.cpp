#include "runner/station/bindings.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

// When there are more than ten choices, the others have no digit of their own; the arrow keys reach them.
constexpr int kDigits = 10;

// The keys, the button and the stick that point one way.
struct Pointer {
    std::string right_hand;
    std::string left_hand;
    std::string button;
    std::string stick;
    int push = 0;
};
// The y axes of SDL point down.
const Pointer kLeft{"Left", "A", "dpleft", "leftx", -1};
const Pointer kRight{"Right", "D", "dpright", "leftx", +1};
const Pointer kUp{"Up", "W", "dpup", "lefty", -1};
const Pointer kDown{"Down", "S", "dpdown", "lefty", +1};
const Pointer kThirdDown{"PageDown", "Q", "leftshoulder", "lefttrigger", +1};
const Pointer kThirdUp{"PageUp", "E", "rightshoulder", "righttrigger", +1};
// These are four keys in a square.
const Pointer kUpperLeft{"U", "Q", "leftshoulder", "", 0};
const Pointer kUpperRight{"I", "W", "rightshoulder", "", 0};
const Pointer kLowerLeft{"J", "A", "", "lefttrigger", +1};
const Pointer kLowerRight{"K", "S", "", "righttrigger", +1};

struct NamedPlace {
    std::string name;
    const Pointer* pointer;
};
const std::array<NamedPlace, 10> kPlaces{{
    {"left", &kLeft},
    {"right", &kRight},
    {"upper", &kUp},
    {"lower", &kDown},
    {"upper left", &kUpperLeft},
    {"upper right", &kUpperRight},
    {"lower left", &kLowerLeft},
    {"lower right", &kLowerRight},
    {"first", &kLeft},
    {"second", &kRight},
}};

Binding pointing(const Pointer& pointer, Action action, std::string word, std::string hint) {
    Binding made;
    made.action = std::move(action);
    made.word = std::move(word);
    made.hint = std::move(hint);
    made.right_hand = {pointer.right_hand};
    made.left_hand = {pointer.left_hand};
    if (!pointer.button.empty())
        made.buttons = {pointer.button};
    made.stick = pointer.stick;
    made.push = pointer.push;
    return made;
}

Binding with_key(Action action, std::string word, std::string hint, std::vector<std::string> keys) {
    Binding made;
    made.action = std::move(action);
    made.word = std::move(word);
    made.hint = std::move(hint);
    made.keys = std::move(keys);
    return made;
}

// The two keys that have the last digit of `number`.
std::vector<std::string> digit_keys(int number) {
    const std::string digit = std::to_string(number % kDigits);
    return {digit, "Keypad " + digit};
}

Action answered(TrialResponse::Kind kind, int value = 0) {
    return Answered{{.kind = kind, .value = value}};
}

Typed digit(int number) {
    return {static_cast<char>('0' + number)};
}

Binding accepting(std::string hint) {
    Binding made = with_key(Accepted{}, "accept", std::move(hint), {"Space", "Return", "Keypad Enter"});
    made.buttons = {"a"};
    return made;
}

void add(std::vector<Binding>&, const ExpectNothing&) {}

void add(std::vector<Binding>& to, const ExpectGoOn&) {
    to.push_back(accepting("hint_go_on"));
}

void add(std::vector<Binding>& to, const ExpectAdjustment& expected) {
    struct Axis {
        const Pointer *back, *forth;
        const char *back_word, *forth_word;
    };
    static const std::array<Axis, 3> axis_table{{{&kLeft, &kRight, "left", "right"},
                                                 {&kDown, &kUp, "down", "up"},
                                                 {&kThirdDown, &kThirdUp, "pagedown", "pageup"}}};
    for (int i = 0; i < std::min(expected.axes, static_cast<int>(axis_table.size())); ++i) {
        const Axis& axis = axis_table[static_cast<std::size_t>(i)];
        for (const int direction : {-1, +1}) {
            const StepTaken step{.axis = i, .direction = direction, .coarse = false};
            to.push_back(pointing(direction < 0 ? *axis.back : *axis.forth, step,
                                  direction < 0 ? axis.back_word : axis.forth_word,
                                  fmt::format("hint_axis_{}", i + 1)));
            to.back().repeats = true;
        }
    }
    to.push_back(accepting("hint_accept"));
}

std::string joined(std::string name, char by) {
    std::replace(name.begin(), name.end(), ' ', by);
    return name;
}

// Where each place lies in some direction, or the places are first and second, the keys that point there
// choose a place. Otherwise digits do.
void add_places(std::vector<Binding>& to, const std::vector<std::string>& places) {
    ISOSEAM_CHECK_LE(places.size(), kDigits);
    std::vector<Binding> pointed;
    for (std::size_t i = 0; i < places.size(); ++i) {
        const Action action = answered(TrialResponse::Kind::place, static_cast<int>(i));
        const std::string word = joined(places[i], '-');
        const auto* const known = std::find_if(
            kPlaces.begin(), kPlaces.end(), [&](const NamedPlace& place) { return place.name == places[i]; });
        if (known != kPlaces.end())
            pointed.push_back(pointing(*known->pointer, action, word, "place_" + joined(places[i], '_')));
        to.push_back(with_key(action, word, "place_number", digit_keys(static_cast<int>(i) + 1)));
    }
    if (pointed.size() == places.size())
        std::copy(pointed.begin(), pointed.end(), to.begin());
}

void add(std::vector<Binding>& to, const ExpectAnswer& expected) {
    using Kind = TrialResponse::Kind;
    switch (expected.form) {
        case AnswerForm::yes_no:
            to.push_back(pointing(kLeft, answered(Kind::no), "no", "no"));
            to.push_back(pointing(kRight, answered(Kind::yes), "yes", "yes"));
            break;
        case AnswerForm::same_different:
            to.push_back(pointing(kLeft, answered(Kind::same), "same", "same"));
            to.push_back(pointing(kRight, answered(Kind::different), "different", "different"));
            break;
        case AnswerForm::place:
            add_places(to, expected.places);
            break;
        case AnswerForm::rating:
            ISOSEAM_CHECK_BETWEEN(expected.categories, 1, kDigits);
            for (int i = 1; i <= expected.categories; ++i)
                to.push_back(with_key(answered(Kind::rating, i), fmt::format("rating-{}", i), "hint_rating",
                                      digit_keys(i)));
            break;
        case AnswerForm::adjustment:
            ISOSEAM_CHECK(false, "an adjustment is expected as such, and not as an answer");
    }
}

void add(std::vector<Binding>& to, const ExpectChoice& expected) {
    for (const int direction : {-1, +1}) {
        to.push_back(pointing(direction < 0 ? kUp : kDown, Moved{direction}, direction < 0 ? "up" : "down",
                              "hint_move"));
        // The page's foot names the arrow keys, so that they count for either hand.
        to.back().keys = std::exchange(to.back().right_hand, {});
        to.back().repeats = true;
    }
    for (int i = 1; i <= std::min(expected.choices, kDigits - 1); ++i)
        to.push_back(with_key(digit(i), fmt::format("choose-{}", i), "", digit_keys(i)));
    to.push_back(accepting("hint_choose"));
}

// Characters are found by what the key says in the layout that is set ("char ."). Digits are also found by
// their place.
void add(std::vector<Binding>& to, const ExpectNumber& expected) {
    for (int i = 0; i < kDigits; ++i)
        to.push_back(with_key(digit(i), "", "", digit_keys(i)));
    to.push_back(with_key(Typed{'.'}, "", "", {"char .", "char ,", "Keypad .", "Keypad ,"}));
    if (!(expected.lowest >= 0.0))
        to.push_back(with_key(Typed{'-'}, "", "", {"char -", "Keypad -"}));
    to.push_back(with_key(Typed{'\b'}, "", "hint_take_back", {"Backspace"}));
    to.back().buttons = {"b"};
    to.back().repeats = true;
    to.push_back(accepting("hint_accept_number"));
}

// Adds the keys of a keyboard, and those of the remotes that lecturers hold, most of which turn pages.
void add(std::vector<Binding>& to, const ExpectSceneTurn&) {
    to.push_back(
        with_key(Moved{+1}, "next", "", {"Right", "PageDown", "Space", "Return", "Keypad Enter", "Down"}));
    to.back().buttons = {"dpright", "a"};
    to.push_back(with_key(Moved{-1}, "back", "", {"Left", "PageUp", "Backspace", "Up"}));
    to.back().buttons = {"dpleft", "b"};
}

}  // namespace

KeySet parse_key_set(const std::string& word) {
    static const std::map<std::string, KeySet> known_words{
        {"right-hand", KeySet::right_hand}, {"left-hand", KeySet::left_hand}, {"both", KeySet::both}};
    const auto found = known_words.find(word);
    if (found == known_words.end()) {
        throw InputError(Fault{"", 0, 0, "--keys", fmt::format("'{}' is no set of keys", word),
                               "write one of: right-hand, left-hand, both"});
    }
    return found->second;
}

std::vector<Binding> bindings(const Expected& expected) {
    std::vector<Binding> all;
    std::visit([&](const auto& now) { add(all, now); }, expected);
    all.push_back(with_key(Escaped{}, "escape", "hint_pause", {"Escape"}));
    all.back().buttons = {"back", "start"};
    return all;
}

bool is_word_of_some_moment(const std::string& word) {
    static const std::set<std::string> known_words = [] {
        std::set<std::string> words{"accept",    "escape", "coarse",   "left", "right", "up",
                                    "down",      "pageup", "pagedown", "yes",  "no",    "same",
                                    "different", "third",  "fourth",   "next", "back"};
        for (const NamedPlace& place : kPlaces)
            words.insert(joined(place.name, '-'));
        for (int i = 1; i <= kDigits; ++i) {
            words.insert(fmt::format("rating-{}", i));
            if (i < kDigits)
                words.insert(fmt::format("choose-{}", i));
        }
        return words;
    }();
    return known_words.count(word) > 0;
}

}  // namespace isoseam
