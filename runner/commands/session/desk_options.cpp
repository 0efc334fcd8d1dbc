#include "runner/commands/session/desk_options.h"

#include <fmt/format.h>

#include <memory>

#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/web_options.h"
#include "runner/web/secrets.h"
#include "runner/web/web_server.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {
namespace {

constexpr int kSecretBytes = 18;

std::unique_ptr<WebServer> serve(SessionDesk& desk, const WebAddress& address, const std::string& secret) {
    try {
        auto server = std::make_unique<WebServer>(address, WebLimits{}, desk, [](const std::string& fault) {
            tell("the desk could not answer: " + fault);
        });
        tell(fmt::format("the desk (keep this address to yourself): {}/desk/{}",
                         web_base(address, server->port()), secret));
        return server;
    } catch (const MachineError& error) {
        tell(fmt::format("warning: there is no desk: {}", error.what()));
        return nullptr;
    }
}

}  // namespace

void add_desk_options(Command* command, DeskOptions& options) {
    command->add_flag("--desk", options.wanted,
                      "serve a page beside the session: progress, last settings, warnings; pause, note, end");
    command->add_option("--desk-address", options.address,
                        "ADDRESS or ADDRESS:PORT of the desk: 0.0.0.0:8080 opens it to the room's network "
                        "(127.0.0.1, this machine alone)");
}

void beside_desk(const DeskOptions& options, const DeskSession& session, Station& station, SessionLog& log,
                 const std::function<void(Station&)>& run) {
    if (!options.wanted) {
        run(station);
        return;
    }
    const WebAddress address = parse_web_address(options.address, "--desk-address");
    const std::string secret = random_token(kSecretBytes);
    SessionDesk desk(session, secret, [began = steady_seconds()] { return steady_seconds() - began; });
    const std::unique_ptr<WebServer> server = serve(desk, address, secret);
    if (server == nullptr) {
        run(station);
        return;
    }
    desk.publish_through(
        [&](const std::string& channel, const std::string& event) { server->publish(channel, event); });
    // The publisher uses the server, and ends before it.
    struct Ending {
        SessionDesk& desk;
        ~Ending() { desk.stop_publishing(); }
    } const ending{desk};
    log.tell(desk);
    DeskStation beside(station, desk, [&](const std::string& note) {
        log.append(log.last_time_s() + desk.since_heard_s(), "note", {{"text", note}});
    });
    run(beside);
}

}  // namespace isoseam
