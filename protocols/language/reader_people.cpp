// What concerns participants themselves: consent, who should not take part, and what they are asked.

#include <fmt/format.h>

#include <algorithm>

#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

constexpr std::size_t kLeastChoices = 2;
constexpr std::size_t kMostChoices = 9;  // Each choice has one digit key.

void read_consent(const YamlNode& node, ProtocolReading& reading) {
    if (!node.exists())
        return;
    node.only_keys({"heading", "text"});
    Consent consent;
    consent.heading = reading.texts.words(node.at("heading", "the page's heading"));
    consent.paragraphs = reading.texts.paragraphs(node.at("text", "a paragraph, or a list of paragraphs"));
    reading.protocol.consent = std::move(consent);
}

void read_exclusions(const YamlNode& node, ProtocolReading& reading) {
    const std::vector<YamlNode> items = node.items();
    if (node.is_sequence() && items.empty())
        node.fault("no question", "list at least one, or take exclusions away");
    for (const YamlNode& item : items)
        reading.protocol.exclusions.push_back(reading.texts.words(item));
}

void read_range(const YamlNode& node, ParticipantQuestion& question) {
    question.form = ParticipantQuestion::Form::number;
    const auto from = node.at("from", "the smallest number that may be answered").number();
    const YamlNode to_node = node.at("to", "the largest number that may be answered");
    const auto to = to_node.number();
    if (from && to && !(*from < *to))
        to_node.fault(fmt::format("no room from {:g} to {:g}", *from, *to), "let `to` be larger than `from`");
    question.lowest = from.value_or(0.0);
    question.highest = to.value_or(0.0);
}

void add_choice(const YamlNode& node, const std::string& value, Words label, ParticipantQuestion& question) {
    const auto same = [&](const ParticipantQuestion::Choice& other) { return other.value == value; };
    if (std::any_of(question.choices.begin(), question.choices.end(), same))
        node.fault(fmt::format("a second choice '{}'", value), "write each choice once");
    question.choices.push_back({value, std::move(label)});
}

void read_choices(const YamlNode& node, const TextReader& texts, ParticipantQuestion& question) {
    question.form = ParticipantQuestion::Form::choice;
    if (node.is_map()) {
        for (const std::string& value : node.keys()) {
            const YamlNode label = node.at(value, "the words that are shown for it");
            add_choice(label, value, texts.words(label), question);
        }
    } else {
        for (const YamlNode& item : node.items()) {
            if (const auto value = read_words(item))
                add_choice(item, *value, texts.words(item), question);
        }
    }
    if (question.choices.size() < kLeastChoices || question.choices.size() > kMostChoices) {
        node.fault(fmt::format("{} choices", question.choices.size()),
                   fmt::format("give {} to {}", kLeastChoices, kMostChoices));
    }
}

void read_answer(const YamlNode& node, const TextReader& texts, ParticipantQuestion& question) {
    if (node.is_scalar()) {
        if (const auto word = node.text(); word != "yes_no") {
            node.fault(fmt::format("found '{}'", *word),
                       "write yes_no, a list of choices, or the range of a number: {from: 0, to: 24}");
        }
        return;
    }
    if (!node.exists())
        return;
    const std::vector<std::string> keys = node.is_map() ? node.keys() : std::vector<std::string>{};
    const bool range = !keys.empty() && std::all_of(keys.begin(), keys.end(), [](const std::string& key) {
        return key == "from" || key == "to";
    });
    if (range)
        read_range(node, question);
    else
        read_choices(node, texts, question);
}

void read_question(const YamlNode& node, ProtocolReading& reading,
                   std::vector<ParticipantQuestion>& questions) {
    node.only_keys({"name", "ask", "answer"});
    ParticipantQuestion question;
    question.line = node.line();
    const YamlNode name_node = node.at("name", "a name that the answer is recorded under");
    const std::optional<std::string> name = name_node.text();
    if (name && !is_plain_name(*name)) {
        name_node.fault(fmt::format("'{}' cannot name a question", *name),
                        "write a letter, then letters, digits, '_' and '-'");
    }
    for (const auto* others : {&reading.protocol.questions_before, &reading.protocol.questions_after}) {
        const auto same = [&](const ParticipantQuestion& other) { return name && other.name == *name; };
        if (std::any_of(others->begin(), others->end(), same))
            name_node.fault(fmt::format("a second question named '{}'", *name),
                            "give each question a name of its own");
    }
    question.name = name.value_or("");
    question.ask = reading.texts.words(node.at("ask", "the question in words"));
    read_answer(node.at("answer", "yes_no, a list of choices, or {from: 0, to: 24}"), reading.texts,
                question);
    questions.push_back(std::move(question));
}

}  // namespace

void read_people(const YamlNode& root, ProtocolReading& reading) {
    read_consent(root.find("consent"), reading);
    read_exclusions(root.find("exclusions"), reading);
    const YamlNode questions = root.find("questions");
    if (!questions.exists())
        return;
    questions.only_keys({"before", "after"});
    for (const YamlNode& item : questions.find("before").items())
        read_question(item, reading, reading.protocol.questions_before);
    for (const YamlNode& item : questions.find("after").items())
        read_question(item, reading, reading.protocol.questions_after);
}

}  // namespace isoseam
