
#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>

#include "base/calendar.h"
#include "results_schema/session_log.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/lecture/lecture_options.h"
#include "runner/commands/seat.h"
#include "runner/commands/session_options.h"
#include "runner/commands/web_options.h"
#include "runner/lecture/lecture_flow.h"
#include "runner/lecture/lecture_hall.h"
#include "runner/lecture/lecture_record.h"
#include "runner/screen/preflight.h"
#include "runner/web/web_server.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {
namespace {

struct RunOptions {
    LectureOptions lecture;
    std::string language;
    std::string out = "sessions";
    std::string address = "127.0.0.1";
    std::string join_address;
    bool nobody_joins = false;
    SeatOptions seat;
};

// Serves the hall for as long as this object lives.
class HallServer {
  public:
    HallServer(LectureHall& hall, const WebAddress& address, const std::string& join_address)
        : hall_(hall), server_(address, {}, hall, [&hall](const std::string& fault) {
              hall.warn("a browser could not be answered: " + fault);
          }) {
        const std::string base = web_base(address, server_.port());
        join_address_ = join_address.empty() ? base + "/" : join_address;
        desk_address_ = fmt::format("{}/desk/{}", base, hall.secrets().desk);
        hall_.publish_through(
            [this](const std::string& channel, const std::string& event) { server_.publish(channel, event); },
            join_address_);
    }
    ~HallServer() { hall_.stop_publishing(); }
    HallServer(const HallServer&) = delete;
    HallServer& operator=(const HallServer&) = delete;

    const std::string& join_address() const { return join_address_; }
    const std::string& desk_address() const { return desk_address_; }

  private:
    LectureHall& hall_;
    std::string join_address_;
    std::string desk_address_;
    WebServer server_;
};

// Returns the host of the address that people type, so that the server knows itself by it.
std::string host_of(const std::string& join_address) {
    const std::string scheme = "http://";
    const std::string secure = "https://";
    const bool is_plain = join_address.compare(0, scheme.size(), scheme) == 0;
    const bool is_secure = join_address.compare(0, secure.size(), secure) == 0;
    const std::size_t from = is_plain ? scheme.size() : secure.size();
    if ((!is_plain && !is_secure) || join_address.size() <= from || join_address.back() != '/') {
        throw InputError(Fault{"", 0, 0, "--join-address",
                               fmt::format("'{}' is no address of a page", join_address),
                               "write it as people type it, http://NAME:PORT/, with the last '/'"});
    }
    return join_address.substr(from, join_address.find('/', from) - from);
}

// If there is no network, that is only a warning, because the projector needs none.
std::unique_ptr<HallServer> serve(LectureHall& hall, const RunOptions& options,
                                  std::vector<std::string>& warnings) {
    if (options.nobody_joins)
        return nullptr;
    WebAddress address = parse_web_address(options.address, "--desk-address");
    if (!options.join_address.empty())
        address.names.push_back(host_of(options.join_address));
    try {
        auto server = std::make_unique<HallServer>(hall, address, options.join_address);
        tell("the lecturer's desk (keep this address to yourself): " + server->desk_address());
        tell(fmt::format("the class joins at {} with the room code {}", server->join_address(),
                         hall.secrets().room_code));
        return server;
    } catch (const MachineError& error) {
        warnings.push_back(fmt::format("nobody can join, and there is no desk: {}", error.what()));
        return nullptr;
    }
}

ExitStatus finish(const LectureOutcome& outcome, const SessionLog& log, bool json) {
    if (json) {
        print_json({{"folder", log.folder()},
                    {"finished", outcome.finished},
                    {"settings", outcome.settings},
                    {"people", outcome.people}});
    } else {
        fmt::print("{} took part; the class made {} setting(s)\n", outcome.people, outcome.settings);
        fmt::print("{}\n", log.folder());
    }
    return ExitStatus::done;
}

ExitStatus run(const RunOptions& options, bool json) {
    const LectureSetup setup = options.lecture.setup();
    const Lecture& lecture = setup.lecture();
    const std::string language = options.lecture.language(lecture, options.language);
    std::vector<std::string> warnings = check_before_opening(options.seat, setup.stage());
    check_space(options.out, free_bytes(options.out));

    LectureHall hall(lecture, HallSecrets::drawn(), language,
                     [began = steady_seconds()] { return steady_seconds() - began; });
    const std::unique_ptr<HallServer> server = serve(hall, options, warnings);
    const LectureView view{language, server == nullptr ? "" : server->join_address()};
    return with_seat(setup.stage(), options.seat, Dither{.kind = DitherKind::ordered}, {}, warnings,
                     [&](Station& station, const std::vector<std::string>& all) {
                         tell_each("warning: ", all);
                         for (const std::string& warning : all)
                             hall.warn(warning);
                         SessionHeader header = describe_lecture(setup, station);
                         header.started_utc = utc_now();
                         tell_each("note: ", header.cautions);
                         SessionLog log = SessionLog::create(options.out, header, Durability::at_end);
                         const LectureOutcome outcome =
                             run_lecture(setup, view, hall, station, log, all, tell);
                         return finish(outcome, log, json);
                     });
}

}  // namespace

void add_lecture_run_command(Command& lecture) {
    Command* command = lecture.add_subcommand("run", "show a lecture, with a class that takes part");
    auto options = std::make_shared<RunOptions>();
    options->lecture.add_to(command);
    command->add_option("--language", options->language,
                        "of the projector, such as de (the lecture's first)");
    command->add_option("--out", options->out, "folder for what the lecture leaves behind (sessions)");
    command->add_option("--desk-address", options->address,
                        "ADDRESS or ADDRESS:PORT to serve desk and telephones at: 0.0.0.0:8080 opens them to "
                        "the room's network (127.0.0.1, this machine alone)");
    command->add_option("--join-address", options->join_address,
                        "what people type and scan, where that is another address than this machine's: "
                        "http://NAME:PORT/");
    command->add_flag("--nobody-joins", options->nobody_joins,
                      "show the lecture without desk and telephones");
    add_seat_options(command, options->seat);
    command->footer(
        "Keys and presenter remotes: right arrow, page down or space bar go on, left arrow or page up go "
        "back, "
        "Escape asks\n"
        "whether to end. The desk, a page for the lecturer's browser, does the same and shows what people "
        "answer.\n"
        "People join with their telephones by the code on the first page. They have a number and no name; "
        "nothing else is kept.");
    finish_command(command, options, run);
}

}  // namespace isoseam
