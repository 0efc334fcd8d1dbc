#include "runner/station/bindings.h"

#include <SDL.h>

#include <catch2/catch.hpp>
#include <set>

#include "runner/station/key_hints.h"
#include "support/error_text.h"
#include "support/seats/moments.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("at no moment does one key, button or word stand for two things, and all words are known") {
    for (const Expected& moment : every_moment()) {
        CAPTURE(moment.index());
        std::multiset<std::string> found;
        for (const Binding& binding : bindings(moment)) {
            for (const auto* names :
                 {&binding.keys, &binding.right_hand, &binding.left_hand, &binding.buttons})
                found.insert(names->begin(), names->end());
            if (!binding.stick.empty())
                found.insert(binding.stick + (binding.push > 0 ? "+" : "-"));
            if (!binding.word.empty()) {
                found.insert("word " + binding.word);
                CHECK(is_word_of_some_moment(binding.word));
            }
        }
        for (const std::string& name : found) {
            CAPTURE(name, found);
            CHECK(found.count(name) == 1);
        }
        CHECK(std::holds_alternative<Escaped>(bindings(moment).back().action));
    }
}

TEST_CASE(
    "whatever can be done, either hand can do alone, and so can a gamepad but for ratings and numbers") {
    for (const Expected& moment : every_moment()) {
        for (const Binding& binding : bindings(moment)) {
            CAPTURE(moment.index(), binding.word);
            CHECK((!binding.keys.empty() || (!binding.right_hand.empty() && !binding.left_hand.empty())));
            const bool digits = binding.hint == "hint_rating" || binding.hint == "place_number" ||
                                std::holds_alternative<Typed>(binding.action);
            CHECK((digits || !binding.buttons.empty() || !binding.stick.empty()));
        }
    }
}

TEST_CASE("all keys, buttons and sticks are ones that there are") {
    for (const Expected& moment : every_moment()) {
        for (const Binding& binding : bindings(moment)) {
            for (const auto* keys : {&binding.keys, &binding.right_hand, &binding.left_hand}) {
                for (const std::string& key : *keys) {
                    CAPTURE(key);
                    const bool by_label = key.compare(0, 5, "char ") == 0;
                    CHECK((by_label || SDL_GetScancodeFromName(key.c_str()) != SDL_SCANCODE_UNKNOWN));
                }
            }
            for (const std::string& button : binding.buttons)
                CHECK(SDL_GameControllerGetButtonFromString(button.c_str()) != SDL_CONTROLLER_BUTTON_INVALID);
            if (!binding.stick.empty())
                CHECK(SDL_GameControllerGetAxisFromString(binding.stick.c_str()) !=
                      SDL_CONTROLLER_AXIS_INVALID);
        }
    }
}

TEST_CASE("keys are drawn as the keyboard has them, in the participant's language, one row for each thing") {
    const KeyLabel french = [](const std::string& key) { return key == "A" ? "Q" : key == "W" ? "Z" : key; };
    const auto rows = [&](const Expected& moment, KeySet keys, const std::string& language) {
        std::vector<std::string> lines;
        for (const KeyHint& hint : key_hints_for(moment, keys, Phrases::read(language), french)) {
            std::string line;
            for (const std::string& key : hint.keys)
                line += key.empty() ? "/ " : key + " ";
            lines.push_back(line + "= " + hint.meaning);
        }
        return lines;
    };
    using Rows = std::vector<std::string>;
    CHECK(rows(adjusting(2), KeySet::right_hand, "en") ==
          Rows{"← → = change the light", "↓ ↑ = change it in a second way",
               "Shift = held with these keys: larger steps", "Space bar = done: this is it", "Esc = pause"});
    CHECK(rows(adjusting(1), KeySet::left_hand, "de").front() == "Q D = das Licht ändern");
    CHECK(rows(asking(AnswerForm::yes_no), KeySet::both, "de") ==
          Rows{"← / Q = Nein", "→ / D = Ja", "Esc = Pause"});
    CHECK(rows(asking_where({"upper left", "upper right", "lower left", "lower right"}), KeySet::right_hand,
               "en") ==
          Rows{"U = above left", "I = above right", "J = below left", "K = below right", "Esc = pause"});
    CHECK(rows(asking_where({"first", "second", "third"}), KeySet::both, "en") ==
          Rows{"1 = number 1", "2 = number 2", "3 = number 3", "Esc = pause"});
    CHECK(rows(rating(4), KeySet::both, "en") == Rows{"1 2 3 4 = your rating", "Esc = pause"});
    CHECK(rows(choosing(3), KeySet::left_hand, "en") ==
          Rows{"↑ ↓ / Z S = move up or down", "Space bar = choose", "Esc = pause"});
    CHECK(rows(typing(0.0, 9.0), KeySet::both, "en") ==
          Rows{"⌫ = take back the last sign", "Space bar = that is the number", "Esc = pause"});
}

TEST_CASE("a set of keys that there is not is told with those that there are") {
    CHECK(input_error_text([] { parse_key_set("both-hands"); }) ==
          "--keys: 'both-hands' is no set of keys; write one of: right-hand, left-hand, both");
    CHECK(parse_key_set("left-hand") == KeySet::left_hand);
}
