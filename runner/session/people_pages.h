#pragma once
// What a participant is asked outside the trials: language, consent, exclusions, questions.

#include <set>
#include <string>

#include "runner/session/session_context.h"

namespace isoseam {

// What a session that continues knows already.
struct AlreadyAsked {
    std::string language;
    bool consent = false;
    std::set<std::string> questions;  // The names of those that were answered.
};

// Each of these functions returns false when the participant leaves.
// Settles and records the language: the one that was asked for, else the participant chooses one of the
// protocol's.
bool settle_language(SessionContext& context, const std::string& asked_for);
// A participant who does not agree leaves, and the record does not say why.
bool ask_consent(SessionContext& context);
// Asks the protocol's exclusion questions, and the one about flicker. The answers are not recorded: the
// record says only that the session was left.
bool ask_exclusions(SessionContext& context);
enum class QuestionTime { before, after };
bool ask_questions(SessionContext& context, QuestionTime when, const std::set<std::string>& answered);

}  // namespace isoseam
