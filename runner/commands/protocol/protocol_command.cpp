// isoseam protocol: checks a protocol before a participant sits down, shows what it asks, draws its field,
// and lists the ready protocols.

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/output_file.h"
#include "protocols/checks/check.h"
#include "protocols/checks/plan.h"
#include "protocols/language/durations.h"
#include "protocols/language/protocol_schema.h"
#include "protocols/language/ready_protocols.h"
#include "runner/commands/command.h"
#include "runner/commands/fault_json.h"
#include "runner/commands/protocol/field_preview.h"
#include "runner/commands/protocol/protocol_commands.h"
#include "runner/commands/session_options.h"

namespace isoseam {
namespace {

nlohmann::json report_json(const ProtocolReport& report) {
    nlohmann::json faults = nlohmann::json::array();
    for (const Fault& fault : report.faults)
        faults.push_back(fault_json(fault));
    nlohmann::json conditions = nlohmann::json::array();
    for (const ProtocolReport::ConditionReport& condition : report.conditions)
        conditions.push_back(
            {{"name", condition.name},
             {"reference_margin", condition.reference_margin},
             {"match_margin", condition.match_margin},
             {"block", report.blocks.at(static_cast<std::size_t>(condition.block)).name},
             {"reachable_share", condition.reachable_share ? nlohmann::json(*condition.reachable_share)
                                                           : nlohmann::json(nullptr)},
             {"rod_contrast",
              condition.rod_contrast ? nlohmann::json(*condition.rod_contrast) : nlohmann::json(nullptr)}});
    nlohmann::json blocks = nlohmann::json::array();
    for (const ProtocolReport::BlockReport& block : report.blocks)
        blocks.push_back({{"name", block.name},
                          {"procedure", block.what},
                          {"trials", block.trials},
                          {"expected_duration_s", block.expected_duration_s}});
    return {{"faults", faults},
            {"blocks", blocks},
            {"age_years", report.age_years ? nlohmann::json(*report.age_years) : nlohmann::json(nullptr)},
            {"cautions", report.cautions},
            {"settings", report.settings},
            {"expected_duration_s", report.expected_duration_s},
            {"halves_share_primaries", report.halves_share_primaries},
            {"conditions", conditions}};
}

void print_report(const ProtocolReport& report) {
    for (const Fault& fault : report.faults)
        fmt::print(stderr, "isoseam: {}\n", to_string(fault));
    if (!report.faults.empty()) {
        fmt::print("{} fault(s)\n", report.faults.size());
        return;
    }
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
    for (const std::string& caution : report.cautions)
        fmt::print("\nNote: {}\n", caution);
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

ExitStatus check(const ProtocolOptions& options, DitherKind dither, const CheckedFor& whom, bool json) {
    const auto calibration_files = [&](const Protocol& protocol) {
        return options.calibration_files(protocol);
    };
    const ProtocolReport report = check_protocol(options.protocol_path(), calibration_files, dither, whom);
    json ? print_json(report_json(report)) : print_report(report);
    return status_of(report);
}

// ---- show ----
struct ShowOptions {
    ProtocolOptions protocol;
    CheckedFor whom;
    std::optional<std::uint64_t> seed;
};

nlohmann::json run_json(const PlannedRun& planned, const Protocol& protocol) {
    const Run& run = planned.run;
    return {{"number", run.number},
            {"block", protocol.blocks[static_cast<std::size_t>(run.block)].name},
            {"condition", protocol.conditions[static_cast<std::size_t>(run.condition)].name},
            {"repeat", run.repeat},
            {"levels", planned.levels},
            {"complete", planned.complete}};
}

nlohmann::json block_json(const Protocol& protocol, int index) {
    const Block& block = protocol.blocks[static_cast<std::size_t>(index)];
    nlohmann::json conditions = nlohmann::json::array();
    std::vector<std::string> details;
    for (const Condition& condition : protocol.conditions) {
        if (condition.block != index)
            continue;
        if (conditions.empty())
            details = procedure_details(block, condition.axes);
        nlohmann::json axes = nlohmann::json::array();
        for (const AdjustmentAxis& axis : condition.axes)
            axes.push_back(axis.name);
        conditions.push_back({{"name", condition.name},
                              {"reference", condition.reference.text()},
                              {"along", axes},
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

nlohmann::json plan_json(const Protocol& protocol, const ProtocolPlan& plan, std::uint64_t seed,
                         const std::string& participant) {
    nlohmann::json blocks = nlohmann::json::array();
    for (const int block : plan.blocks)
        blocks.push_back(block_json(protocol, block));
    nlohmann::json runs = nlohmann::json::array();
    for (const PlannedRun& planned : plan.runs)
        runs.push_back(run_json(planned, protocol));
    return {{"title", protocol.title},
            {"languages", protocol.languages},
            {"seed", seed},
            {"participant", participant},
            {"blocks", blocks},
            {"runs", runs}};
}

// Without --seed the seed is that of the protocol, or else 1. The plan says which seed it is.
ExitStatus show(const ShowOptions& options, bool json) {
    const Protocol protocol = read_protocol(options.protocol.protocol_path());
    const Setup setup = options.whom.age_years ? options.protocol.setup(options.whom.age_years)
                                               : options.protocol.setup_for_anyone();
    constexpr std::uint64_t kUsualSeed = 1;
    const std::uint64_t seed = options.seed.value_or(protocol.seed.value_or(kUsualSeed));
    const std::string& participant = options.whom.participant;
    const ProtocolPlan plan = plan_session(setup, seed, participant);
    json ? print_json(plan_json(setup.protocol(), plan, seed, participant))
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

ExitStatus list(bool json) {
    nlohmann::json all = nlohmann::json::array();
    for (const ReadyProtocol& ready : ready_protocols()) {
        all.push_back({{"name", ready.name}, {"title", ready.title}, {"path", ready.path}});
        if (!json)
            fmt::print("{:<24} {}\n", ready.name, ready.title);
    }
    if (json)
        print_json({{"protocols", all}});
    return ExitStatus::done;
}

}  // namespace

void add_protocol_command(Command& app, CommandContext& context) {
    Command* protocol = app.add_subcommand(
        "protocol", "check a protocol, show its plan, look at its field, list the ready ones");
    protocol->require_subcommand(1);

    Command* check_command =
        protocol->add_subcommand("check", "every fault, the gamut, the duration, what it can show");
    auto check_options = std::make_shared<ProtocolOptions>();
    check_options->add_to(check_command);
    const auto dither = std::make_shared<std::string>("ordered");
    check_command->add_option("--dither", *dither, "of the sessions to come: ordered (usual), noise or none");
    const auto whom = std::make_shared<CheckedFor>();
    add_whom(check_command, *whom);
    finish_command(check_command, context, [check_options, dither, whom, &context] {
        return check(*check_options, parse_dither(*dither), *whom, context.json);
    });

    Command* show_command =
        protocol->add_subcommand("show", "the plan in words, and the runs of one session");
    const auto show_options = std::make_shared<ShowOptions>();
    show_options->protocol.add_to(show_command);
    show_command->add_option("--seed", show_options->seed, "of the session (the protocol's, else 1)")
        ->check(whole_number());
    add_whom(show_command, show_options->whom);
    finish_command(show_command, context,
                   [show_options, &context] { return show(*show_options, context.json); });

    Command* schema_command = protocol->add_subcommand(
        "schema", "the language as a JSON Schema (2020-12), for editors that complete and check YAML");
    finish_command(schema_command, context, [] {
        fmt::print("{}", protocol_schema());
        return ExitStatus::done;
    });

    Command* list_command = protocol->add_subcommand("list", "ready protocols that come with the program");
    finish_command(list_command, context, [&context] { return list(context.json); });

    Command* preview_command =
        protocol->add_subcommand("preview", "draw the field of one condition at a match, without a screen");
    auto preview_options = std::make_shared<ProtocolOptions>();
    auto preview = std::make_shared<PreviewOptions>();
    preview_options->add_to(preview_command);
    preview_command->add_option("--out", preview->path, "PNG file to write")->required();
    add_force_option(preview_command, preview->force);
    preview_command->add_option("--condition", preview->condition, "name of the condition (the first)");
    preview_command->add_option("--level", preview->level,
                                "how far from the match along the first axis, such as '5 %' (at the match)");
    const auto preview_dither = std::make_shared<std::string>("none");
    preview_command->add_option("--dither", *preview_dither, "none (usual), ordered or noise");
    finish_command(preview_command, context, [preview_options, preview, preview_dither, &context] {
        preview->dither = parse_dither(*preview_dither);
        write_preview(preview_options->setup_for_anyone(), *preview);
        context.json ? print_json({{"picture", preview->path}}) : fmt::print("{}\n", preview->path);
        return ExitStatus::done;
    });
}

}  // namespace isoseam
