#include "runner/station/key_hints.h"

#include <algorithm>
#include <cctype>
#include <map>

namespace isoseam {
namespace {

// Arrows are printed as arrows everywhere. Other keys with words have a word in each language. Digits are
// printed as digits, though some layouts type something else there without Shift.
std::string shown_label(const std::string& key, const Phrases& phrases, const KeyLabel& label) {
    static const std::map<std::string, std::string> arrow_of{
        {"Left", "←"}, {"Right", "→"}, {"Up", "↑"}, {"Down", "↓"}};
    static const std::map<std::string, std::string> phrase_of{
        {"Space", "key_space"},         {"Return", "key_return"},  {"Escape", "key_escape"},
        {"Backspace", "key_backspace"}, {"PageUp", "key_page_up"}, {"PageDown", "key_page_down"},
        {"Shift", "key_shift"}};
    if (const auto arrow = arrow_of.find(key); arrow != arrow_of.end())
        return arrow->second;
    if (const auto named = phrase_of.find(key); named != phrase_of.end())
        return phrases(named->second);
    return key.size() == 1 && std::isdigit(static_cast<unsigned char>(key.front())) != 0 ? key : label(key);
}

// The phrase for a numbered place names its number, which counts from 1.
std::string meaning_of(const Binding& binding, const Phrases& phrases) {
    const auto* const answered = std::get_if<Answered>(&binding.action);
    const int number = answered == nullptr ? 0 : answered->response.value + 1;
    return phrases.filled(binding.hint, number);
}

// The keys of bindings that share one hint.
struct Row {
    std::vector<std::string> either;
    std::vector<std::string> right_hand;
    std::vector<std::string> left_hand;
};

void add_first(std::vector<std::string>& to, const std::vector<std::string>& keys) {
    if (!keys.empty())
        to.push_back(keys.front());
}

std::vector<std::string> keys_of(const Row& row, KeySet keys) {
    std::vector<std::string> shown = row.either;
    if (keys != KeySet::left_hand)
        shown.insert(shown.end(), row.right_hand.begin(), row.right_hand.end());
    if (keys == KeySet::right_hand || row.left_hand.empty())
        return shown;
    if (!shown.empty())
        shown.emplace_back();
    shown.insert(shown.end(), row.left_hand.begin(), row.left_hand.end());
    return shown;
}

}  // namespace

std::vector<KeyHint> key_hints_for(const Expected& expected, KeySet keys, const Phrases& phrases,
                                   const KeyLabel& label) {
    const std::vector<Binding> all = bindings(expected);
    std::vector<KeyHint> hints;
    const auto add = [&](const Row& row, const std::string& meaning) {
        KeyHint hint;
        for (const std::string& key : keys_of(row, keys))
            hint.keys.push_back(key.empty() ? "" : shown_label(key, phrases, label));
        hint.meaning = meaning;
        hints.push_back(hint);
    };
    for (std::size_t i = 0; i < all.size();) {
        const Binding& first = all[i];
        const std::string meaning = first.hint.empty() ? "" : meaning_of(first, phrases);
        Row row;
        bool same = true;
        for (; same; same = i < all.size() && all[i].hint == first.hint && first.hint != "place_number") {
            add_first(row.either, all[i].keys);
            add_first(row.right_hand, all[i].right_hand);
            add_first(row.left_hand, all[i].left_hand);
            ++i;
        }
        if (first.hint.empty())
            continue;
        // This stands before what is said of accepting.
        if (first.hint == "hint_accept")
            add({{"Shift"}, {}, {}}, phrases("hint_coarse"));
        add(row, meaning);
    }
    return hints;
}

}  // namespace isoseam
