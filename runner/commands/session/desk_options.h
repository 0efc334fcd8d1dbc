#pragma once
// A desk beside a session, as the command line asks for it.

#include <functional>
#include <memory>
#include <string>

#include "results_schema/session_log.h"
#include "runner/desk/desk_station.h"
#include "runner/desk/session_desk.h"

namespace isoseam {

class Command;

struct DeskOptions {
    bool wanted = false;
    std::string address = "127.0.0.1";
};
void add_desk_options(Command* command, DeskOptions& options);

// Runs `session` with the station beside a desk, or with the station itself where no desk is wanted or the
// network does not allow one; then the experimenter is told why, and the session goes on without it.
void beside_desk(const DeskOptions& options, const DeskSession& session, Station& station, SessionLog& log,
                 const std::function<void(Station&)>& run);

}  // namespace isoseam
