#pragma once
// isoseam session resume and isoseam session show, and what every session with a person says at its end.

#include <string>

#include "results_schema/session_log.h"
#include "runner/commands/command.h"
#include "runner/session/session_flow.h"

namespace isoseam {

ExitStatus finish(const SessionOutcome& outcome, const SessionLog& log, bool json);

}  // namespace isoseam
