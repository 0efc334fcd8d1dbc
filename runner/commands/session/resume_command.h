#pragma once
// isoseam session resume and show, and what all sessions with a person say at their end.

#include <string>

#include "results_schema/session_log.h"
#include "runner/commands/command.h"
#include "runner/session/session_flow.h"

namespace isoseam {

ExitStatus finish(const SessionOutcome& outcome, const SessionLog& log, bool json);

}  // namespace isoseam
