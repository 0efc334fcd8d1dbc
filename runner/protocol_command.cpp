// isoseam protocol: check one before a participant sits down, look at its field, list the ready ones.

#include <fmt/format.h>

#include <memory>
#include <optional>

#include "runner/command_line.h"
#include "runner/field_preview.h"
#include "runner/session_options.h"

namespace isoseam {
namespace {

nlohmann::json fault_json(const Fault& fault) {
    return {{"file", fault.file}, {"line", fault.line},   {"column", fault.column},
            {"key", fault.key},   {"found", fault.found}, {"remedy", fault.remedy}};
}

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
             {"reachable_share", condition.reachable_share},
             {"rod_contrast",
              condition.rod_contrast ? nlohmann::json(*condition.rod_contrast) : nlohmann::json(nullptr)}});
    return {{"faults", faults},
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
    fmt::print("{} settings, about {:.0f} minutes\n\n", report.settings, report.expected_duration_s / 60.0);
    fmt::print("{:<20} {:>18} {:>18} {:>18} {:>14}\n", "condition", "reference margin", "match margin",
               "starts in gamut", "rod contrast");
    for (const ProtocolReport::ConditionReport& condition : report.conditions)
        fmt::print(
            "{:<20} {:>18.3f} {:>18.3f} {:>16.0f} % {:>14}\n", condition.name, condition.reference_margin,
            condition.match_margin, 100.0 * condition.reachable_share,
            condition.rod_contrast ? fmt::format("{:+.1f} %", 100.0 * *condition.rod_contrast) : "none");
    fmt::print(
        "\nMargin: how far linear drives stay from 0 and from full; 0.5 at most, negative outside the "
        "gamut.\nRod contrast: of the predicted match against the reference half, by CIE 1951.\n");
    for (const std::string& caution : report.cautions)
        fmt::print("\nNote: {}\n", caution);
}

// A file that cannot be read is bad input; a light that the screens cannot show is an answer, and the answer
// is no.
ExitStatus check(const ProtocolOptions& options, DitherKind dither, bool json) {
    const std::string path = options.protocol_path();
    std::optional<Protocol> protocol;
    ExitStatus if_faulty = ExitStatus::bad_input;
    std::map<std::string, std::string> calibrations;
    try {
        protocol = read_protocol(path);
    } catch (const InputError&) {  // the report below lists the faults
    }
    if (protocol) {
        calibrations = options.calibration_files(*protocol);
        try {
            for (const std::string& file : calibration_paths(*protocol, calibrations))
                static_cast<void>(read_calibration(file));
            if_faulty = ExitStatus::answer_is_no;
        } catch (const InputError&) {  // the same
        }
    }
    const ProtocolReport report = check_protocol(path, calibrations, dither);
    json ? print_json(report_json(report)) : print_report(report);
    return report.faults.empty() ? ExitStatus::done : if_faulty;
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

void add_protocol_command(CLI::App& app, CommandContext& context) {
    CLI::App* protocol =
        app.add_subcommand("protocol", "check a protocol, look at its field, list the ready ones");
    protocol->require_subcommand(1);

    CLI::App* check_command =
        protocol->add_subcommand("check", "every fault, the gamut, the duration, what it can show");
    auto check_options = std::make_shared<ProtocolOptions>();
    check_options->add_to(check_command);
    const auto dither = std::make_shared<std::string>("ordered");
    check_command->add_option("--dither", *dither, "of the sessions to come: ordered (usual), noise or none");
    finish_command(check_command, context, [check_options, dither, &context] {
        return check(*check_options, parse_dither(*dither), context.json);
    });

    CLI::App* list_command = protocol->add_subcommand("list", "ready protocols that come with the program");
    finish_command(list_command, context, [&context] { return list(context.json); });

    CLI::App* preview_command =
        protocol->add_subcommand("preview", "draw the field of one condition at a match, without a screen");
    auto preview_options = std::make_shared<ProtocolOptions>();
    auto preview = std::make_shared<PreviewOptions>();
    preview_options->add_to(preview_command);
    preview_command->add_option("--out", preview->path, "PNG file to write")->required();
    preview_command->add_option("--condition", preview->condition, "name of the condition (the first)");
    const auto preview_dither = std::make_shared<std::string>("none");
    preview_command->add_option("--dither", *preview_dither, "none (usual), ordered or noise");
    finish_command(preview_command, context, [preview_options, preview, preview_dither, &context] {
        preview->dither = parse_dither(*preview_dither);
        write_preview(preview_options->setup(), *preview);
        context.json ? print_json({{"picture", preview->path}}) : fmt::print("{}\n", preview->path);
        return ExitStatus::done;
    });
}

}  // namespace isoseam
