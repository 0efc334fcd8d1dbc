#pragma once
// What participants read: words in each language of the protocol, pages, consent and questions.
//
//     page.heading.in("de")    // the German words, or the only ones
#include <map>
#include <string>
#include <vector>

#include "base/errors.h"

namespace isoseam {

// One value for all languages (under ""), or one for each language of the protocol.
template <class T>
struct ByLanguage {
    std::map<std::string, T> values;
    bool empty() const { return values.empty(); }
    // ISOSEAM_CHECK: there is a value for this language, or one for all languages.
    const T& in(const std::string& language) const {
        const auto found = values.count(language) > 0 ? values.find(language) : values.find("");
        ISOSEAM_CHECK(found != values.end(), language);
        return found->second;
    }
};
using Words = ByLanguage<std::string>;
using Paragraphs = ByLanguage<std::vector<std::string>>;

struct InstructionPage {
    Words heading;
    Paragraphs paragraphs;
    bool keys = false;  // Whether the page shows what the keys do in the block that follows.
};

// Asked before anything else is shown. A participant who does not agree leaves.
struct Consent {
    Words heading;
    Paragraphs paragraphs;
};

// A question for the participant. Its answer is never free text.
struct ParticipantQuestion {
    enum class Form { yes_no, choice, number };
    std::string name;  // The answer is recorded under this name.
    Words ask;
    Form form = Form::yes_no;
    struct Choice {
        std::string value;  // What is recorded.
        Words label;        // What is shown.
    };
    std::vector<Choice> choices{};  // 2 to 9 of them.
    double lowest = 0.0;            // For a number.
    double highest = 0.0;
    int line = 0;
};

}  // namespace isoseam
