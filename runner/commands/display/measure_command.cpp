// isoseam display measure: reads a plan of patches with an instrument, and keeps the readings whatever
// happens.

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <ctime>
#include <nlohmann/json.hpp>
#include <set>

#include "base/calendar.h"
#include "base/version.h"
#include "calibration/fit/steadiness.h"
#include "calibration/instruments/file_instrument.h"
#include "calibration/measuring/measured_tables.h"
#include "calibration/measuring/measuring_log.h"
#include "results_schema/session_log.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/display/display_parts.h"
#include "runner/commands/display/measure_options.h"
#include "runner/commands/interrupts.h"
#include "runner/commands/option_faults.h"
#include "runner/measuring/measuring_loop.h"
#include "runner/measuring/patch_screen.h"
#include "runner/measuring/terminal.h"
#include "runner/screen/preflight.h"

namespace isoseam {
namespace {

struct MeasureOptions {
    MeasureWords words;
    std::string out = "measurements";
    std::string resume;
    bool yes = false;
    bool rehearse = false;
    std::vector<std::string> despite;
};

const std::vector<std::string> kDespiteWords{"colour-table", "drifting", "changed"};

std::set<std::string> despite_of(const MeasureOptions& options) {
    std::set<std::string> despite;
    for (const std::string& word : options.despite) {
        if (std::find(kDespiteWords.begin(), kDespiteWords.end(), word) == kDespiteWords.end())
            throw InputError(Fault{"", 0, 0, "--despite", fmt::format("unknown word '{}'", word),
                                   "write one of: colour-table, drifting, changed"});
        despite.insert(word);
    }
    return despite;
}

// A table made elsewhere has no clock and usually no places, so its plan asks only for what such a table can
// hold.
PlanOptions plan_for(const MeasureWords& words, const Instrument& instrument) {
    PlanOptions plan = words.plan();
    if (const auto* file = dynamic_cast<const FileInstrument*>(&instrument)) {
        plan.primaries = file->primaries();
        plan.warm_up = false;
        if (!file->tells_places()) {
            plan.places = 0;
            plan.patch_sizes = false;
        }
    }
    return plan;
}

// Names at once all steps for which a table made elsewhere has no row.
void require_rows(const Instrument& instrument, const MeasuringPlan& plan, const std::string& name) {
    const auto* file = dynamic_cast<const FileInstrument*>(&instrument);
    if (file == nullptr)
        return;
    std::vector<Fault> faults;
    for (const PlanStep& step : plan.steps) {
        if (file->rows_of(step.drive, step.place) > 0)
            continue;
        faults.push_back(
            {name, 0, 0, step.id,
             fmt::format("no reading of drive {:.4g}",
                         fmt::join(step.drive.fractions.begin(), step.drive.fractions.end(), ", ")),
             "measure it too, or fit the table as it is with 'isoseam display fit'"});
    }
    refuse(faults);
}

std::unique_ptr<PatchScreen> opened_screen(const MeasureOptions& options, const Instrument& instrument,
                                           int bits, std::unique_ptr<VideoSystem>& video) {
    if (options.rehearse || !instrument.record().looks_at_screen)
        return std::make_unique<NoPatchScreen>(bits);
    const PatchScreenOptions screen = options.words.screen(bits);
    video = std::make_unique<VideoSystem>();
    return std::make_unique<WindowPatchScreen>(*video, screen);
}

// Checks what the screen does to colours. Throws, or returns the warnings to record.
std::vector<std::string> checked_screen(PatchScreen& screen, const std::set<std::string>& despite) {
    const PatchScreen::Findings findings = screen.findings();
    std::vector<std::string> warnings = findings.warn;
    for (const std::string& finding : findings.refuse) {
        if (!despite.contains("colour-table"))
            throw MachineError(
                finding,
                "switch night light, colour management and gamma settings off, or go on with --despite "
                "colour-table (it will be recorded; every session then needs the same table)");
        warnings.push_back(finding);
    }
    return warnings;
}

// Refuses what has changed since the measurement was begun, unless somebody decides otherwise (a plan cannot
// change). Returns what was decided, to record it.
std::vector<std::string> accepted_changes(const MeasurementHeader& then, const MeasurementHeader& now,
                                          const std::string& folder, const std::set<std::string>& despite) {
    std::vector<Fault> faults;
    std::vector<std::string> accepted;
    for (const std::string& change : changes_since(then, now)) {
        const bool of_plan = change.starts_with("plan:");
        if (despite.contains("changed") && !of_plan)
            accepted.push_back(fmt::format("{}changed: {}", kGoneOnWith, change));
        else
            faults.push_back(
                {folder, 0, 0, "", "changed since it was begun: " + change,
                 of_plan ? "go on with the old plan, or begin a new measurement"
                         : "change it back, begin a new measurement, or go on with --despite changed"});
    }
    refuse(faults);
    return accepted;
}

ExitStatus status_of(LoopEnd end) {
    switch (end) {
        case LoopEnd::all_read:
            return ExitStatus::done;
        case LoopEnd::left:
            return ExitStatus::interrupted;
        case LoopEnd::trouble:
            return ExitStatus::machine_lacks;
        case LoopEnd::drifting:
            return ExitStatus::answer_is_no;
    }
    return ExitStatus::machine_lacks;
}

// Returns what a finished drift plan was measured for.
std::optional<Steadiness> steadiness_found(const MeasuringLog& log, const LoopOutcome& outcome) {
    if (outcome.end != LoopEnd::all_read || log.header().plan.kind != PlanKind::drift)
        return std::nullopt;
    return steadiness_of(fit_readings(log.state(), log.header().instrument.unit),
                         log.state().plan->warm_up.settled_per_min);
}

nlohmann::json outcome_json(const MeasuringLog& log, const LoopOutcome& outcome,
                            const std::vector<std::string>& remarks) {
    const bool finished = outcome.end == LoopEnd::all_read;
    nlohmann::json json{{"folder", log.folder()},
                        {"finished", finished},
                        {"kept", log.state().readings.size()},
                        {"to_come", readings_left(log.state())},
                        {"remarks", remarks}};
    if (finished) {
        json["readings"] = log.folder() + "/readings.csv";
        if (!verification_readings(log.state(), log.header().instrument.unit).rows.empty())
            json["verification"] = log.folder() + "/verification.csv";
    }
    if (const std::optional<Steadiness> steadiness = steadiness_found(log, outcome))
        json["steadiness"] = steadiness_json(*steadiness);
    if (outcome.failure)
        json["trouble"] = {{"kind", trouble_word(outcome.failure->trouble)},
                           {"found", outcome.failure->found},
                           {"remedy", outcome.failure->remedy}};
    return json;
}

ExitStatus finish(const MeasuringLog& log, const LoopOutcome& outcome, bool json, Terminal& terminal) {
    const std::vector<std::string> remarks = measurement_remarks(log.header(), log.state());
    if (outcome.end == LoopEnd::all_read)
        write_tables(log.folder(), log.header(), log.state());
    for (const std::string& remark : remarks)
        terminal.tell("note: " + remark);
    if (outcome.end != LoopEnd::all_read) {
        terminal.tell(
            fmt::format("{} reading(s) kept, {} to come; go on with: isoseam display measure --resume {}",
                        log.state().readings.size(), readings_left(log.state()), log.folder()));
    } else {
        terminal.tell(fmt::format("{} reading(s) kept, all of the plan", log.state().readings.size()));
    }
    if (const std::optional<Steadiness> steadiness = steadiness_found(log, outcome)) {
        for (const std::string& sentence : steadiness_words(*steadiness))
            terminal.tell(sentence);
    }
    if (json)
        print_json(outcome_json(log, outcome, remarks));
    else
        fmt::print("{}\n", log.folder());
    return status_of(outcome.end);
}

// Returns the seconds from the measurement's begin to now. Simulated time goes on where it stood.
double time_now(const MeasuringLog& log, bool simulated_time, double reading_s) {
    const MeasuringState& state = log.state();
    if (simulated_time)
        return state.readings.empty() ? 0.0 : state.readings.back().at_s + reading_s;
    const double last_s = state.last_at_s;
    return std::max(last_s, utc_seconds() - seconds_of_utc(log.header().started_utc));
}

// Writes a word of a log as it stands in messages: on one line, and so that no character can steer the
// terminal.
std::string quoted(const std::string& word) {
    return nlohmann::json(word).dump(-1, ' ', true, nlohmann::json::error_handler_t::replace);
}

std::string use_of(const MeasureWords::ForeignWord& word) {
    const std::string does = word.name == "command" ? "run the program"
                             : word.name == "port"  ? "open the line"
                                                    : "send what is in the file";
    return fmt::format("the folder's log wants to {} {}", does, quoted(word.kept));
}

// A folder may come from anybody. What its log would run or open is used only when somebody agrees, by giving
// the option again with the same words or by saying yes at the terminal. Returns false when nobody agreed.
bool agreed_to_kept(const std::vector<MeasureWords::ForeignWord>& words, const MeasureOptions& options,
                    bool despite_changed, Terminal& terminal) {
    std::vector<Fault> faults;
    std::vector<std::string> questions;
    for (const MeasureWords::ForeignWord& word : words) {
        const std::string key = "--" + word.name;
        if (word.given && *word.given != word.kept && !despite_changed) {
            faults.push_back({options.resume, 0, 0, key,
                              fmt::format("{}, and {} was given", use_of(word), quoted(*word.given)),
                              "give the same, begin a new measurement, or go on with --despite changed"});
        } else if (!word.given && !terminal.can_ask()) {
            faults.push_back(
                {options.resume, 0, 0, key, use_of(word) + ", and nobody is asked",
                 fmt::format("if you trust the folder, give {} again with the same words", key)});
        } else if (!word.given) {
            questions.push_back(use_of(word));
        }
    }
    refuse(faults);
    for (const std::string& question : questions)
        terminal.tell(question);
    return questions.empty() || terminal.ask("Type yes to allow it; anything else leaves. ") == "yes";
}

// Everything that is known before anything is shown.
struct Prepared {
    std::unique_ptr<Instrument> instrument;
    InstrumentRecord record;
    PlanOptions plan;
    double settle_s = 0.0;
};
Prepared prepared(const MeasureWords& words, Terminal& terminal) {
    Prepared result;
    result.instrument = words.instrument([&](const std::string& prompt) { return terminal.answer(prompt); });
    result.record = result.instrument->record();
    result.plan = plan_for(words, *result.instrument);
    result.settle_s = words.settle_s();
    require_rows(*result.instrument, make_plan(result.plan), words.word("readings"));
    return result;
}

bool agreed(const Prepared& what, Terminal& terminal) {
    fmt::print(stderr, "{}", plan_words(make_plan(what.plan), what.record.reading_s, what.settle_s));
    if (!what.record.not_for_data.empty())
        terminal.tell("NOT FOR DATA: " + what.record.not_for_data);
    return terminal.agrees();
}

// Shows white at the planned patch, for aiming. Returns whether to go on.
bool aimed(const MeasuringPlan& plan, PatchScreen& screen, Terminal& terminal) {
    ShownPatch white;
    white.drive = plan.watch.drive;
    white.surround = plan.options.surround;
    white.place = plan.watch.place;
    screen.show(white);
    terminal.tell("aim the instrument at the middle of the patch, then press Return in the measuring window");
    return screen.wait_for_go_on();
}

MeasurementHeader header_of(const Prepared& what, const MeasureOptions& options, PatchScreen& screen,
                            const std::set<std::string>& despite) {
    MeasurementHeader header;
    header.program_version = kProgramVersion;
    header.started_utc = utc_text(utc_seconds());
    header.plan = what.plan;
    header.screen = screen.description();
    header.instrument = what.record;
    header.instrument_options = options.words.all();
    header.warnings = checked_screen(screen, despite);
    if (options.rehearse && what.record.looks_at_screen)
        header.warnings.emplace_back("rehearsed: nothing was shown while it was read. NOT FOR DATA");
    return header;
}

void go_on(MeasuringLog& log, const MeasurementHeader& now, const MeasureOptions& options, double now_s,
           Terminal& terminal) {
    std::vector<std::string> accepted =
        accepted_changes(log.header(), now, options.resume, despite_of(options));
    for (const std::string& warning : now.warnings) {
        if (std::find(log.header().warnings.begin(), log.header().warnings.end(), warning) ==
            log.header().warnings.end())
            accepted.push_back(kGoneOnWith + warning);
    }
    log.append(MeasurementResumed{now_s});
    for (const std::string& decision : accepted) {
        log.append(Remark{now_s, decision});
        terminal.tell(decision);
    }
    terminal.tell(fmt::format("going on: {} reading(s) kept, {} to come", log.state().readings.size(),
                              readings_left(log.state())));
}

ExitStatus measure(const MeasureOptions& given, bool json) {
    MeasureOptions options = given;
    const std::set<std::string> despite = despite_of(options);
    Terminal terminal(options.yes);
    std::optional<MeasuringLog> log;
    if (!options.resume.empty()) {
        log.emplace(MeasuringLog::resume(options.resume));
        if (!agreed_to_kept(options.words.set_kept(log->header().instrument_options), options,
                            despite.contains("changed"), terminal))
            return ExitStatus::interrupted;
    }
    const Prepared what = prepared(options.words, terminal);
    if (!agreed(what, terminal))
        return ExitStatus::interrupted;
    leave_at_once_when_interrupted();
    std::unique_ptr<VideoSystem> video;
    const std::unique_ptr<PatchScreen> screen =
        opened_screen(options, *what.instrument, what.plan.bits, video);
    const MeasurementHeader now = header_of(what, options, *screen, despite);
    for (const std::string& warning : now.warnings)
        terminal.tell("warning: " + warning);
    if (!options.yes && screen->is_seen() && !aimed(make_plan(what.plan), *screen, terminal))
        return ExitStatus::interrupted;
    const bool resumed = log.has_value();
    if (!resumed) {
        check_space(options.out, free_bytes(options.out));
        log.emplace(MeasuringLog::create(options.out, now));
    }
    const double began_s = time_now(*log, video == nullptr, what.record.reading_s);
    if (resumed)
        go_on(*log, now, options, began_s, terminal);
    LoopOptions loop;
    loop.settle_s = what.settle_s;
    loop.despite_drifting = despite.contains("drifting");
    const LoopOutcome outcome =
        run_measurement(*log, *what.instrument, *screen, terminal.person(), loop, began_s);
    terminal.clear();
    return finish(*log, outcome, json, terminal);
}

}  // namespace

void add_measure_command(Command& display) {
    Command* command = display.add_subcommand("measure", "show patches and have an instrument read them");
    auto options = std::make_shared<MeasureOptions>();
    options->words.add_options_to(command);
    command->add_option("--out", options->out, "folder for measurements (measurements)");
    command->add_option("--resume", options->resume,
                        "go on with the measurement in this folder; asks before it uses the command, port or "
                        "dialect of its log (with --yes: give that option again)");
    command->add_flag("--yes", options->yes, "begin without asking: the instrument is aimed already");
    command->add_flag("--rehearse", options->rehearse,
                      "show nothing, and do not wait: to try an instrument out");
    command
        ->add_option("--despite", options->despite,
                     "go on although: colour-table, drifting, changed (recorded as a warning)")
        ->allow_extra_args(false);
    command->footer(
        "In the measuring window the space bar pauses and Escape leaves; the terminal tells how far it is.\n"
        "Prints the measurement's folder last: readings.csv to fit a calibration to, verification.csv to "
        "verify it.\n"
        "A drift plan says when the screen settles and how steady it stays; its readings are not to be "
        "fitted.\n"
        "Every reading is on disk before the next patch shows: after any interruption go on with --resume "
        "FOLDER.");
    finish_command(command, options, measure);
}

}  // namespace isoseam
