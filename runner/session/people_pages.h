#pragma once
// What a participant is asked outside the trials: language, consent, exclusions, questions.

#include <set>
#include <string>

#include "runner/session/session_context.h"

namespace isoseam {

// What a session that is gone on with knows already.
struct AlreadyAsked {
    std::string language;
    bool consent = false;
    std::set<std::string> questions;  // names
};

// Each is false when the participant leaves.
// The language that was asked for, or that the participant chooses among the protocol's; recorded.
bool settle_language(SessionContext& context, const std::string& asked_for);
// Who does not agree leaves, and nothing tells why.
bool ask_consent(SessionContext& context);
// The protocol's exclusions, and flicker's. What is answered is not recorded: only that the session was left.
bool ask_exclusions(SessionContext& context);
enum class QuestionTime { before, after };
bool ask_questions(SessionContext& context, QuestionTime when, const std::set<std::string>& answered);

}  // namespace isoseam
