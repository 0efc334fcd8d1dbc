#pragma once
// The options for a desk beside a session, as the command line gives them.

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

// Runs `session` with the station beside a desk. Where no desk is wanted, it runs with the station itself. It
// does so too where the network does not allow a desk; then the experimenter is told why.
void beside_desk(const DeskOptions& options, const DeskSession& session, Station& station, SessionLog& log,
                 const std::function<void(Station&)>& run);

}  // namespace isoseam
