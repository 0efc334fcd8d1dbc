// isoseam display report: writes a calibration as one page for the readers of a study.

#include <fmt/format.h>

#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/calibration_report/calibration_report.h"
#include "analysis/figures/gnuplot.h"
#include "base/output_file.h"
#include "base/version.h"
#include "base/yaml_reader.h"
#include "results_schema/sha256.h"
#include "runner/commands/command.h"
#include "runner/commands/display/display_commands.h"
#include "runner/commands/display/display_parts.h"

namespace isoseam {
namespace {

struct Options {
    std::string readings, calibration, verify, out, unit;
    int replicates = 200;
    std::uint64_t seed = 1;
    bool force = false;
};

ReportedFile reported(const std::string& part, const std::string& path, const std::string& bytes) {
    return {part, std::filesystem::path(path).filename().string(), sha256_hex(bytes)};
}

nlohmann::json report_json(const CalibrationEvidence& evidence, const std::vector<ReportedFile>& files,
                           const std::string& out) {
    nlohmann::json names = nlohmann::json::array();
    for (const ReportFigure& figure : report_figures(evidence))
        names.push_back(figure.id);
    nlohmann::json inputs = nlohmann::json::array();
    for (const ReportedFile& file : files)
        inputs.push_back({{"part", file.part}, {"name", file.name}, {"sha256", file.sha256}});
    const std::optional<double>& departure = evidence.departure_from_fit;
    return {{"report", out},
            {"figures", names},
            {"inputs", inputs},
            {"calibration_follows_from_readings",
             departure ? nlohmann::json(*departure <= kSameCalibration) : nlohmann::json(nullptr)},
            {"verified", evidence.verification ? nlohmann::json(evidence.verification->passed)
                                               : nlohmann::json(nullptr)}};
}

ExitStatus run(const Options& options, bool as_json) {
    const OutputRules rules{options.force, {options.readings, options.calibration, options.verify}};
    check_output(options.out, "--out", rules);
    CalibrationReportInput input;
    std::vector<ReportedFile> files;
    input.readings = read_readings(options.readings, options.unit);
    input.readings_file = options.readings;
    files.push_back(reported("readings", options.readings, read_text_file(options.readings)));
    if (!options.calibration.empty()) {
        input.calibration = read_calibration(options.calibration);
        files.push_back(reported("calibration", options.calibration, input.calibration->text));
    }
    if (!options.verify.empty()) {
        input.verification = read_readings(options.verify, options.unit);
        input.verification_file = options.verify;
        files.push_back(reported("verification", options.verify, read_text_file(options.verify)));
    }
    input.options.replicates = options.replicates;
    input.options.seed = options.seed;
    const CalibrationEvidence evidence = gather_evidence(input);
    const std::string page =
        calibration_report(evidence, files, fmt::format("isoseam {}", kProgramVersion),
                           [](const Figure& figure) { return drawn(figure, PictureFormat::svg); });
    write_output(options.out, page, "--out", rules);
    if (as_json)
        print_json(report_json(evidence, files, options.out));
    else
        fmt::print("{}\n", options.out);
    return ExitStatus::done;
}

}  // namespace

void add_display_report_command(Command& display, CommandContext& context) {
    Command* command =
        display.add_subcommand("report", "a calibration as one page for the readers of a study");
    auto options = std::make_shared<Options>();
    command->add_option("readings", options->readings, "table, one reading a row: r,g,b,nm380,nm381,...")
        ->required();
    command->add_option("--calibration", options->calibration,
                        "file that was fitted to them (none: they are fitted again)");
    command->add_option("--verify", options->verify, "table of readings that the fit has not seen");
    command->add_option("--out", options->out, "page to write (HTML)")->required();
    add_force_option(command, options->force);
    add_unit_option(command, options->unit);
    command->add_option("--replicates", options->replicates, "of the bootstrap of residuals (200)")
        ->check(within(20, 100000));
    command->add_option("--seed", options->seed, "of the bootstrap (1)");
    command->footer(
        "One file that asks for nothing from outside: text, tables and pictures. Without --verify, readings\n"
        "of steps named verification are looked at, if there are any. Status 0 whatever the report says.");
    finish_command(command, context, [options, &context] { return run(*options, context.json); });
}

}  // namespace isoseam
