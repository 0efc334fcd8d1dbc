// isoseam session resume: goes on with a session that was interrupted or left. isoseam session show: tells
// where a session stands.

#include "runner/commands/session/resume_command.h"
#include "runner/commands/session/desk_options.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>

#include "base/calendar.h"
#include "base/yaml_reader.h"
#include "results_schema/session_folder.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/option_faults.h"
#include "runner/commands/seat.h"
#include "runner/commands/session_options.h"

namespace isoseam {
namespace {

struct ResumeOptions {
    std::string folder;
    std::vector<std::string> calibrations;
    std::string protocol;
    SeatOptions seat;
    DeskOptions desk;
};

// The setup is made from the very texts that the record keeps, so that nothing that has changed since can
// change the session.
Setup recorded_setup(const SessionHeader& header) {
    std::map<std::string, std::string> spectra;
    for (const auto& [path, file] : header.files)
        spectra[path] = file.text;
    Protocol protocol = parse_protocol(header.protocol.text, header.protocol.file, spectra);
    if (protocol.age_from_session)
        set_age(protocol, header.observer.age_years);
    std::vector<Calibration> calibrations;
    for (const SourceRecord& source : header.sources) {
        const StoredText& kept = header.calibrations.at(source.calibration);
        calibrations.push_back(parse_calibration(kept.text, kept.file));
    }
    return Setup(std::move(protocol), calibrations);
}

Placement recorded_placement(const SessionHeader& header) {
    Placement placement;
    for (const SourceRecord& source : header.sources) {
        if (!source.centre_px)
            continue;
        const auto screen = std::find_if(header.screens.begin(), header.screens.end(),
                                         [&](const ScreenRecord& s) { return s.index == source.screen; });
        ISOSEAM_CHECK(screen != header.screens.end(), source.name);
        placement.file = header.session;
        placement.sources[source.name] = {(*source.centre_px)[0], (*source.centre_px)[1], screen->width_px,
                                          screen->height_px};
    }
    return placement;
}

void compare_text(const std::string& path, const std::string& option, const std::vector<std::string>& kept,
                  std::vector<Fault>& faults) {
    const std::string text = read_text_file(path);
    if (std::find(kept.begin(), kept.end(), text) == kept.end()) {
        faults.push_back(
            {path, 0, 0, option, "is not what the session was begun with",
             "begin a new session with it, or leave the option out to go on with the one that the "
             "record keeps"});
    }
}

// Compares the files that the experimenter takes for those of the session.
void check_unchanged(const ResumeOptions& options, const SessionHeader& header) {
    std::vector<Fault> faults;
    if (!options.protocol.empty())
        compare_text(options.protocol, "--protocol", {header.protocol.text}, faults);
    std::vector<std::string> calibrations;
    for (const auto& [sha256, calibration] : header.calibrations)
        calibrations.push_back(calibration.text);
    for (const std::string& path : options.calibrations)
        compare_text(path, "--calibration", calibrations, faults);
    refuse(faults);
}

// What was recorded about the sources must still hold.
void check_sources(const SessionHeader& header, const Station& station) {
    const std::vector<SourceRecord> now = station.sources();
    for (std::size_t i = 0; i < now.size(); ++i) {
        const SourceRecord& then = header.sources[i];
        if (now[i].bits != then.bits || now[i].dither != then.dither) {
            throw MachineError(
                fmt::format("source '{}' had {} bits with dither {}, and now has {} bits with dither {}",
                            then.name, then.bits, then.dither, now[i].bits, now[i].dither),
                "go on at the same screen, set as it was");
        }
    }
}

ExitStatus resume(const ResumeOptions& options, bool json) {
    const SessionFolder folder = read_session_folder(options.folder);
    if (!folder.header_ok)
        throw InputError(folder.faults);
    if (folder.header.kind != "session") {
        const bool is_lecture = folder.header.kind == "lecture";
        throw InputError(Fault{options.folder, 0, 0, "", is_lecture ? "is a lecture" : "is a rehearsal",
                               is_lecture
                                   ? "show it again: isoseam lecture run"
                                   : "rehearse again: isoseam session rehearse gives the same settings"});
    }
    check_unchanged(options, folder.header);
    const Setup setup = recorded_setup(folder.header);
    SessionLog log = SessionLog::resume(folder, Durability::each_event);
    std::vector<std::string> warnings = check_before_opening(options.seat, setup);
    const Dither dither{.kind = parse_dither(folder.header.sources.front().dither),
                        .key = folder.header.seed};
    tell(fmt::format("{} of {} trials are there", folder.settings.size() + folder.answers.size(),
                     folder.header.planned_settings));
    return with_seat(setup, options.seat, dither, recorded_placement(folder.header), warnings,
                     [&](Station& station, const std::vector<std::string>& all) {
                         check_sources(folder.header, station);
                         tell_each("warning: ", all);
                         SessionOutcome outcome;
                         DeskSession session = desk_session(setup, folder.header.participant, today());
                         session.answers_before = static_cast<int>(folder.answers.size());
                         beside_desk(options.desk, session, station, log, [&](Station& seat) {
                             outcome =
                                 go_on_with_session(setup, folder.header.seed,
                                                    resumption_of(folder, utc_now()), all, seat, log, tell);
                         });
                         return finish(outcome, log, json);
                     });
}

// Where a session stands, as far as its folder does not say it itself.
struct SessionStanding {
    std::map<std::string, int> trials_of_condition;  // settings and answers
    double time_s = 0.0;                             // the time of the last event
    int pauses = 0;
    int resumed = 0;
    std::vector<std::string> warnings;
};

SessionStanding standing_of(const SessionFolder& folder) {
    SessionStanding standing;
    for (const auto& setting : folder.settings)
        ++standing.trials_of_condition[setting.condition];
    for (const auto& answer : folder.answers)
        ++standing.trials_of_condition[answer.condition];
    for (const Event& event : folder.events) {
        if (event.kind == "warning")
            standing.warnings.push_back(event.data.at("text").get<std::string>());
        standing.pauses += event.kind == "paused" ? 1 : 0;
        standing.resumed += event.kind == "session_resumed" ? 1 : 0;
    }
    if (!folder.events.empty())
        standing.time_s = folder.events.back().time_s;
    return standing;
}

nlohmann::json standing_json(const SessionFolder& folder, const SessionStanding& standing) {
    const SessionHeader& header = folder.header;
    return {{"folder", folder.folder},
            {"state", to_string(folder.state)},
            {"participant", header.participant},
            {"kind", header.kind},
            {"started_utc", header.started_utc},
            {"protocol", header.protocol.file},
            {"seed", header.seed},
            {"settings", folder.settings.size()},
            {"planned_settings", header.planned_settings},
            {"answers", folder.answers.size()},
            {"trials_of_condition", standing.trials_of_condition},
            {"time_s", standing.time_s},
            {"pauses", standing.pauses},
            {"resumed", standing.resumed},
            {"warnings", standing.warnings}};
}

void print_standing(const SessionFolder& folder, const SessionStanding& standing) {
    const SessionHeader& header = folder.header;
    fmt::print("{}: {}\n", folder.folder, to_string(folder.state));
    fmt::print("  participant  {} ({}), begun {}\n", header.participant, header.kind, header.started_utc);
    fmt::print("  protocol     {}, seed {}\n", header.protocol.file, header.seed);
    fmt::print("  trials       {} of {}{}, in {:.0f} min; {} pause(s), gone on with {} time(s)\n",
               folder.settings.size() + folder.answers.size(), folder.answers.empty() ? "" : "about ",
               header.planned_settings, standing.time_s / 60.0, standing.pauses, standing.resumed);
    for (const auto& [condition, count] : standing.trials_of_condition)
        fmt::print("    {:<24} {}\n", condition, count);
    for (const std::string& warning : standing.warnings)
        fmt::print("  warning      {}\n", warning);
    if (folder.state == SessionState::interrupted || folder.state == SessionState::left_early)
        fmt::print("  go on with   isoseam session resume {}\n", folder.folder);
}

ExitStatus show(const std::string& path, bool json) {
    const SessionFolder folder = read_session_folder(path);
    if (!folder.header_ok || folder.state == SessionState::damaged)
        throw InputError(folder.faults);
    const SessionStanding standing = standing_of(folder);
    json ? print_json(standing_json(folder, standing)) : print_standing(folder, standing);
    return ExitStatus::done;
}

}  // namespace

ExitStatus finish(const SessionOutcome& outcome, const SessionLog& log, bool json) {
    if (json) {
        print_json({{"folder", log.folder()},
                    {"finished", outcome.finished},
                    {"settings", outcome.settings},
                    {"answers", outcome.answers}});
    } else {
        const std::string answers =
            outcome.answers > 0 ? fmt::format(" and {} answer(s)", outcome.answers) : "";
        tell(fmt::format("{} setting(s){} saved, session {}", outcome.settings, answers,
                         outcome.finished ? "finished" : "left early"));
        fmt::print("{}\n", log.folder());
    }
    return ExitStatus::done;
}

void add_resume_command(Command& session) {
    const auto options = std::make_shared<ResumeOptions>();
    Command* command = session.add_subcommand("resume", "go on with a session that was interrupted or left");
    command->add_option("folder", options->folder, "the session's folder")->required();
    command->add_option("--protocol", options->protocol,
                        "refuse to go on if this file is not what the session was begun with");
    command->add_option("--calibration", options->calibrations, "the same for a calibration; once per source")
        ->allow_extra_args(false);
    add_seat_options(command, options->seat);
    add_desk_options(command, options->desk);
    command->footer(
        "Protocol, calibrations, order and starting points are those that the record keeps; instructions "
        "and\n"
        "adaptation are shown again, then the settings that are still to come.");
    finish_command(command, [options](bool json) {
        options->seat.session_folder = options->folder;
        return resume(*options, json);
    });
}

void add_session_show_command(Command& session) {
    const auto folder = std::make_shared<std::string>();
    Command* command = session.add_subcommand("show", "where a session stands");
    command->add_option("folder", *folder, "the session's folder")->required();
    finish_command(command, folder, show);
}

}  // namespace isoseam
