// The plan of a session as text.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "protocols/checks/plan.h"
#include "protocols/language/durations.h"
#include "protocols/setup/level_gamut.h"

namespace isoseam {
namespace {

constexpr std::size_t kShort = 60;       // A longer text is cut to so many bytes.
constexpr std::size_t kMostLevels = 12;  // The line of a run has at most so many levels.

std::string shortened(std::string text) {
    std::replace(text.begin(), text.end(), '\n', ' ');
    if (text.size() <= kShort)
        return text;
    std::size_t end = kShort;
    // The text is not cut within a character.
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U)
        --end;
    return text.substr(0, end) + "...";
}

// The words in each language, for example "Taking part | Teilnahme".
std::string in_all_languages(const Words& words, const std::vector<std::string>& languages) {
    std::vector<std::string> texts;
    if (words.values.count("") > 0)
        texts.push_back(shortened(words.values.at("")));
    for (const std::string& language : languages) {
        if (words.values.count(language) > 0)
            texts.push_back(shortened(words.values.at(language)));
    }
    return fmt::format("{}", fmt::join(texts, " | "));
}

std::string answer_words(const ParticipantQuestion& question) {
    switch (question.form) {
        case ParticipantQuestion::Form::yes_no:
            return "yes or no";
        case ParticipantQuestion::Form::number:
            return fmt::format("a number from {:g} to {:g}", question.lowest, question.highest);
        case ParticipantQuestion::Form::choice:
            break;
    }
    std::vector<std::string> values;
    for (const ParticipantQuestion::Choice& choice : question.choices)
        values.push_back(choice.value);
    return fmt::format("one of {}", fmt::join(values, ", "));
}

void add_pages(std::string& text, const Protocol& protocol, const std::vector<InstructionPage>& pages) {
    for (const InstructionPage& page : pages)
        text += fmt::format("  page: {}{}\n", in_all_languages(page.heading, protocol.languages),
                            page.keys ? " (with the keys)" : "");
}

void add_questions(std::string& text, const char* when, const Protocol& protocol,
                   const std::vector<ParticipantQuestion>& questions) {
    for (const ParticipantQuestion& question : questions)
        text += fmt::format("  {} {}: {} ({})\n", when, question.name,
                            in_all_languages(question.ask, protocol.languages), answer_words(question));
}

void add_participants(std::string& text, const Protocol& protocol) {
    std::string part;
    if (protocol.consent)
        part +=
            fmt::format("  consent: {}\n", in_all_languages(protocol.consent->heading, protocol.languages));
    for (const Words& exclusion : protocol.exclusions)
        part += fmt::format("  exclusion: {}\n", in_all_languages(exclusion, protocol.languages));
    if (protocol.flicker)
        part += fmt::format("  exclusion: {}\n",
                            in_all_languages(protocol.flicker->exclusion, protocol.languages));
    add_questions(part, "question before,", protocol, protocol.questions_before);
    add_pages(part, protocol, protocol.pages);
    add_questions(part, "question after,", protocol, protocol.questions_after);
    if (!part.empty())
        text += "\nWhat participants are told and asked\n" + part;
}

std::string condition_words(const Condition& condition, const Block& block) {
    std::string words = fmt::format("{}: {}", condition.name, condition.reference.text());
    if (condition.test)
        words += fmt::format(", test {}", condition.test->text());
    if (condition.rings)
        words += fmt::format(", rings {} and {}", (*condition.rings)[0].text(), (*condition.rings)[1].text());
    if (std::holds_alternative<TaskPlan>(block.plan)) {
        std::vector<std::string> names;
        for (const AdjustmentAxis& axis : condition.axes)
            names.push_back(axis.name);
        words += fmt::format(", along {}", fmt::join(names, ", "));
    }
    return words + fmt::format(", {} time{}", condition.repeats, condition.repeats == 1 ? "" : "s");
}

void add_block(std::string& text, const Protocol& protocol, int index) {
    const Block& block = protocol.block(index);
    text += fmt::format("\n{}{}, in {}; {} trials, about {:.0f} minutes\n",
                        block.name.empty() ? "" : fmt::format("Block '{}': ", block.name),
                        procedure_words(block), to_string(block.space), planned_trials(protocol, index),
                        expected_duration_s(protocol, index) / 60.0);
    add_pages(text, protocol, block.pages);
    const auto first = std::find_if(protocol.conditions.begin(), protocol.conditions.end(),
                                    [&](const Condition& condition) { return condition.block == index; });
    for (const std::string& line : procedure_details(block, first->axes))
        text += fmt::format("  {}\n", line);
    text += fmt::format("  conditions, {}:\n", order_words(block.order));
    for (const Condition& condition : protocol.conditions) {
        if (condition.block == index)
            text += fmt::format("    {}\n", condition_words(condition, block));
    }
}

std::string levels_words(const PlannedRun& planned, const Condition& condition, const Block& block) {
    std::vector<std::string> words;
    for (std::size_t i = 0; i < std::min(planned.levels.size(), kMostLevels); ++i)
        words.push_back(level_text(block.space, condition.axes, planned.levels[i]));
    const bool task = std::holds_alternative<TaskPlan>(block.plan);
    const std::string all = fmt::format("{}", fmt::join(words, ", "));
    if (!task)
        return "starts at " + all;
    if (!planned.complete)
        return fmt::format("begins at {}, then by the answers", all);
    const std::size_t rest = planned.levels.size() - words.size();
    return "levels " + all + (rest > 0 ? fmt::format(" ... ({} more)", rest) : "");
}

}  // namespace

std::string plan_text(const Setup& setup, const ProtocolPlan& plan, std::uint64_t seed,
                      const std::string& participant) {
    const Protocol& protocol = setup.protocol();
    std::string text = protocol.title + "\n";
    if (!protocol.languages.empty())
        text += fmt::format("Languages: {}\n", fmt::join(protocol.languages, ", "));
    text +=
        fmt::format("Observer: {:g} deg, {:g} years{}\n", protocol.observer.field.degrees(),
                    protocol.observer.age.years(), protocol.age_from_session ? " (the participant's)" : "");
    add_participants(text, protocol);
    for (const int block : plan.blocks)
        add_block(text, protocol, block);
    if (protocol.blocks.size() > 1)
        text += fmt::format("\nBlocks come {}.\n", order_words(protocol.block_order));
    text += fmt::format("\nRuns with seed {}{}\n", seed,
                        participant.empty() ? "" : fmt::format(" and participant {}", participant));
    for (const PlannedRun& planned : plan.runs) {
        const Condition& condition = protocol.condition(planned.run.condition);
        const Block& block = protocol.block(planned.run.block);
        text += fmt::format("{:>5}  {}{} ({}): {}\n", planned.run.number,
                            block.name.empty() ? "" : block.name + ": ", condition.name, planned.run.repeat,
                            levels_words(planned, condition, block));
    }
    return text;
}

}  // namespace isoseam
