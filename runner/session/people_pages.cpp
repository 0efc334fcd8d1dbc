#include "runner/session/people_pages.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/quantity.h"

namespace isoseam {
namespace {

constexpr std::size_t kLongestEntry = 12;

// Returns the index of the choice that was accepted.
std::optional<int> choose(SessionContext& context, Instruction page) {
    const int count = static_cast<int>(page.choices.size());
    const auto turn = [&](const Action& action) {
        const auto* const typed = std::get_if<Typed>(&action);
        if (const auto* const moved = std::get_if<Moved>(&action))
            page.chosen = std::clamp(page.chosen < 0 ? 0 : page.chosen + moved->by, 0, count - 1);
        if (typed != nullptr && typed->character >= '1' && typed->character < '1' + count)
            page.chosen = typed->character - '1';
        return std::holds_alternative<Accepted>(action) && page.chosen >= 0;
    };
    if (!context.show_until(ExpectChoice{.choices = count}, page, turn))
        return std::nullopt;
    return page.chosen;
}

std::optional<double> ask_number(SessionContext& context, Instruction page, double lowest, double highest) {
    std::optional<double> number;
    const std::string range = fmt::format(fmt::runtime(context.phrase("number_range")),
                                          fmt::format("{:g}", lowest), fmt::format("{:g}", highest));
    page.paragraphs.push_back(range);
    const auto turn = [&](const Action& action) {
        if (const auto* const typed = std::get_if<Typed>(&action)) {
            if (typed->character != '\b' && page.entry.size() < kLongestEntry)
                page.entry += typed->character;
            else if (typed->character == '\b' && !page.entry.empty())
                page.entry.pop_back();
        }
        if (!std::holds_alternative<Accepted>(action))
            return false;
        try {
            number = parse_number(page.entry);
        } catch (const InputError&) {
            return false;
        }
        return *number >= lowest && *number <= highest;
    };
    if (!context.show_until(ExpectNumber{.lowest = lowest, .highest = highest}, page, turn))
        return std::nullopt;
    return number;
}

// Returns null when the participant leaves.
nlohmann::json ask(SessionContext& context, const ParticipantQuestion& question) {
    Instruction page{context.words(question.ask), {}, context.phrase("choice_foot")};
    if (question.form == ParticipantQuestion::Form::number) {
        page.foot = context.phrase("number_foot");
        const auto number = ask_number(context, page, question.lowest, question.highest);
        return number ? nlohmann::json(*number) : nlohmann::json();
    }
    const bool yes_no = question.form == ParticipantQuestion::Form::yes_no;
    if (yes_no)
        page.choices = {context.phrase("yes"), context.phrase("no")};
    for (const ParticipantQuestion::Choice& choice : question.choices)
        page.choices.push_back(context.words(choice.label));
    const std::optional<int> chosen = choose(context, page);
    if (!chosen)
        return {};
    return yes_no ? nlohmann::json(*chosen == 0)
                  : nlohmann::json(question.choices[static_cast<std::size_t>(*chosen)].value);
}

enum class ExclusionFrom { session, flicker };

bool ask_exclusion(SessionContext& context, const Words& question, ExclusionFrom from) {
    const bool of_flicker = from == ExclusionFrom::flicker;
    nlohmann::json asked{{"question", context.words(question)}};
    if (of_flicker)
        asked["before_flicker"] = true;
    context.record("exclusion_asked", asked);
    return context.show_until_agreed(
        {context.phrase("exclusion_heading"),
         {context.words(question), context.phrase(of_flicker ? "exclusion_flicker_text" : "exclusion_text")},
         context.phrase("exclusion_foot")});
}

}  // namespace

bool settle_language(SessionContext& context, const std::string& asked_for) {
    const std::vector<std::string>& languages = context.protocol().languages;
    std::string language = asked_for;
    if (language.empty() && languages.size() == 1)
        language = languages.front();
    if (language.empty() && languages.size() > 1) {
        context.speak(languages.front());
        Instruction page;
        page.foot = context.phrase("choice_foot");
        for (const std::string& code : languages)
            page.choices.push_back(Phrases::read(code)("name"));
        const std::optional<int> chosen = choose(context, page);
        if (!chosen)
            return false;
        language = languages[static_cast<std::size_t>(*chosen)];
    }
    if (language.empty())
        return true;
    context.speak(language);
    context.record("language_chosen", {{"language", language}});
    return true;
}

bool ask_consent(SessionContext& context) {
    const std::optional<Consent>& consent = context.protocol().consent;
    if (!consent)
        return true;
    if (!context.show_until_agreed({context.words(consent->heading),
                                    consent->paragraphs.in(context.language()),
                                    context.phrase("consent_foot")}))
        return false;
    context.record("consent_given", {{"language", context.language()}});
    return true;
}

bool ask_exclusions(SessionContext& context) {
    for (const Words& question : context.protocol().exclusions) {
        if (!ask_exclusion(context, question, ExclusionFrom::session))
            return false;
    }
    return !context.protocol().flicker ||
           ask_exclusion(context, context.protocol().flicker->exclusion, ExclusionFrom::flicker);
}

bool ask_questions(SessionContext& context, QuestionTime when, const std::set<std::string>& answered) {
    const bool before = when == QuestionTime::before;
    for (const ParticipantQuestion& question :
         before ? context.protocol().questions_before : context.protocol().questions_after) {
        if (answered.count(question.name) > 0)
            continue;
        const nlohmann::json value = ask(context, question);
        if (value.is_null())
            return false;
        context.record("question_answered",
                       {{"name", question.name}, {"when", before ? "before" : "after"}, {"value", value}});
    }
    return true;
}

}  // namespace isoseam
