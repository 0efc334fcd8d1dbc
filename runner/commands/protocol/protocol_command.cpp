// isoseam protocol: checks a protocol before a participant sits down, shows what it asks, draws its field,
// and lists the ready protocols.

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "protocols/checks/check.h"
#include "protocols/checks/plan.h"
#include "protocols/language/durations.h"
#include "protocols/language/protocol_schema.h"
#include "protocols/language/ready_protocols.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/language_commands.h"
#include "runner/commands/session_options.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

Json report_json(const ProtocolReport& report) {
    const auto condition_json = [&](const ProtocolReport::ConditionReport& condition) {
        return Json{{"name", condition.name},
                    {"reference_margin", condition.reference_margin},
                    {"match_margin", condition.match_margin},
                    {"block", report.blocks.at(static_cast<std::size_t>(condition.block)).name},
                    {"reachable_share", condition.reachable_share},
                    {"rod_contrast", condition.rod_contrast}};
    };
    const auto block_json = [](const ProtocolReport::BlockReport& block) {
        return Json{{"name", block.name},
                    {"procedure", block.what},
                    {"trials", block.trials},
                    {"expected_duration_s", block.expected_duration_s}};
    };
    return {{"faults", report.faults},
            {"blocks", json_list(report.blocks, block_json)},
            {"age_years", report.age_years},
            {"cautions", report.cautions},
            {"settings", report.settings},
            {"expected_duration_s", report.expected_duration_s},
            {"halves_share_primaries", report.halves_share_primaries},
            {"conditions", json_list(report.conditions, condition_json)}};
}

void print_report(const ProtocolReport& report) {
    if (tell_faulty(report))
        return;
    fmt::print("{} trials, about {:.0f} minutes\n", report.settings, report.expected_duration_s / 60.0);
    for (const ProtocolReport::BlockReport& block : report.blocks)
        fmt::print("  {}{}: {} trials, about {:.0f} minutes\n", block.name.empty() ? "" : block.name + ": ",
                   block.what, block.trials, block.expected_duration_s / 60.0);
    fmt::print("\n");
    fmt::print("{:<20} {:>18} {:>18} {:>18} {:>14}\n", "condition", "reference margin", "match margin",
               "starts in gamut", "rod contrast");
    for (const ProtocolReport::ConditionReport& condition : report.conditions)
        fmt::print(
            "{:<20} {:>18.3f} {:>18.3f} {:>18} {:>14}\n", condition.name, condition.reference_margin,
            condition.match_margin,
            condition.reachable_share ? fmt::format("{:.0f} %", 100.0 * *condition.reachable_share) : "",
            condition.rod_contrast ? fmt::format("{:+.1f} %", 100.0 * *condition.rod_contrast) : "none");
    fmt::print(
        "\nMargin: how far linear drives stay from 0 and from full; 0.5 at most, negative outside the "
        "gamut.\nRod contrast: of the predicted match against the reference half, by CIE 1951.\n");
    print_cautions(report.cautions);
}

// Wrong usage and a file that cannot be read are bad input. If the screens cannot show something, that is an
// answer, and the answer is no.
ExitStatus status_of(const ProtocolReport& report) {
    if (report.faults.empty())
        return ExitStatus::done;
    const bool is_answer =
        std::all_of(report.faults.begin(), report.faults.end(),
                    [](const ReportedFault& fault) { return fault.of == FaultOf::screens; });
    return is_answer ? ExitStatus::answer_is_no : ExitStatus::bad_input;
}

struct CheckOptions {
    ProtocolOptions protocol;
    CheckedFor whom;
    std::string dither = "ordered";
};

ExitStatus check(const CheckOptions& options, bool json) {
    const DitherKind dither = parse_dither(options.dither);
    const auto calibration_files = [&](const Protocol& protocol) {
        return options.protocol.calibrations().files(protocol);
    };
    const ProtocolReport report =
        check_protocol(options.protocol.protocol_path(), calibration_files, dither, options.whom);
    json ? print_json(report_json(report)) : print_report(report);
    return status_of(report);
}

// ---- show ----
struct ShowOptions {
    ProtocolOptions protocol;
    CheckedFor whom;
    std::optional<std::uint64_t> seed;
};

Json run_json(const PlannedRun& planned, const Protocol& protocol) {
    const Run& run = planned.run;
    return {{"number", run.number},
            {"block", protocol.blocks[static_cast<std::size_t>(run.block)].name},
            {"condition", protocol.conditions[static_cast<std::size_t>(run.condition)].name},
            {"repeat", run.repeat},
            {"levels", planned.levels},
            {"complete", planned.complete}};
}

Json block_json(const Protocol& protocol, int index) {
    const Block& block = protocol.blocks[static_cast<std::size_t>(index)];
    Json conditions = Json::array();
    std::vector<std::string> details;
    for (const Condition& condition : protocol.conditions) {
        if (condition.block != index)
            continue;
        if (conditions.empty())
            details = procedure_details(block, condition.axes);
        conditions.push_back(
            {{"name", condition.name},
             {"reference", condition.reference.text()},
             {"along", json_list(condition.axes, [](const AdjustmentAxis& axis) { return axis.name; })},
             {"repeats", condition.repeats}});
    }
    return {{"name", block.name},
            {"procedure", procedure_words(block)},
            {"details", details},
            {"order", order_words(block.order)},
            {"conditions", conditions},
            {"trials", planned_trials(protocol, index)},
            {"expected_duration_s", expected_duration_s(protocol, index)}};
}

Json plan_json(const Protocol& protocol, const ProtocolPlan& plan, std::uint64_t seed,
               const std::string& participant) {
    return {{"title", protocol.title},
            {"languages", protocol.languages},
            {"seed", seed},
            {"participant", participant},
            {"blocks", json_list(plan.blocks, [&](int block) { return block_json(protocol, block); })},
            {"runs", json_list(plan.runs, [&](const PlannedRun& run) { return run_json(run, protocol); })}};
}

// Without --seed the seed is that of the protocol, or else 1. The plan says which seed it is.
ExitStatus show(const ShowOptions& options, bool json) {
    const Setup setup = options.protocol.setup_for_anyone(options.whom.age_years);
    const Protocol& protocol = setup.protocol();
    constexpr std::uint64_t kUsualSeed = 1;
    const std::uint64_t seed = options.seed.value_or(protocol.seed.value_or(kUsualSeed));
    const std::string& participant = options.whom.participant;
    const ProtocolPlan plan = plan_session(setup, seed, participant);
    json ? print_json(plan_json(protocol, plan, seed, participant))
         : fmt::print("{}", plan_text(setup, plan, seed, participant));
    return ExitStatus::done;
}

void add_whom(Command* command, CheckedFor& whom) {
    command->add_option("--age", whom.age_years,
                        "the participant's age in years, for protocols that take the observer's age from it "
                        "(32)");
    command->add_option("--participant", whom.participant,
                        "the participant's code, which orders may hang on");
}

}  // namespace

void add_protocol_commands(Command& protocol) {
    Command* check_command =
        protocol.add_subcommand("check", "every fault, the gamut, the duration, what it can show");
    const auto check_options = std::make_shared<CheckOptions>();
    check_options->protocol.add_to(check_command);
    check_command->add_option("--dither", check_options->dither,
                              "of the sessions to come: ordered (usual), noise or none");
    add_whom(check_command, check_options->whom);
    finish_command(check_command, check_options, check);

    Command* show_command = protocol.add_subcommand("show", "the plan in words, and the runs of one session");
    const auto show_options = std::make_shared<ShowOptions>();
    show_options->protocol.add_to(show_command);
    show_command->add_option("--seed", show_options->seed, "of the session (the protocol's, else 1)")
        ->check(whole_number());
    add_whom(show_command, show_options->whom);
    finish_command(show_command, show_options, show);

    add_language_commands(protocol, "protocols", protocol_schema, ready_protocols, 24);
}

}  // namespace isoseam
