// isoseam display report: writes a calibration as one page for the readers of a study.

#include <fmt/format.h>

#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/calibration_report/calibration_report.h"
#include "analysis/figures/gnuplot.h"
#include "base/version.h"
#include "base/yaml_reader.h"
#include "results_schema/sha256.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/display/display_parts.h"
#include "runner/commands/json_values.h"
#include "runner/commands/output_option.h"

namespace isoseam {
namespace {

struct Options {
    std::string readings, calibration, verify, unit;
    int replicates = 200;
    std::uint64_t seed = 1;
    OutputOption out;
};

ReportedFile reported(const std::string& part, const std::string& path, const std::string& bytes) {
    return {part, std::filesystem::path(path).filename().string(), sha256_hex(bytes)};
}

nlohmann::json report_json(const CalibrationEvidence& evidence, const std::vector<ReportedFile>& files,
                           const std::string& out) {
    const auto file_json = [](const ReportedFile& file) {
        return nlohmann::json{{"part", file.part}, {"name", file.name}, {"sha256", file.sha256}};
    };
    const std::optional<double>& departure = evidence.departure_from_fit;
    return {{"report", out},
            {"figures",
             json_list(report_figures(evidence), [](const ReportFigure& figure) { return figure.id; })},
            {"inputs", json_list(files, file_json)},
            {"calibration_follows_from_readings",
             departure ? nlohmann::json(*departure <= kSameCalibration) : nlohmann::json(nullptr)},
            {"verified", evidence.verification ? nlohmann::json(evidence.verification->passed)
                                               : nlohmann::json(nullptr)}};
}

ExitStatus run(const Options& options, bool as_json) {
    const std::vector<std::string> inputs{options.readings, options.calibration, options.verify};
    options.out.check(inputs);
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
    options.out.write(page, inputs);
    if (as_json)
        print_json(report_json(evidence, files, options.out.path));
    else
        fmt::print("{}\n", options.out.path);
    return ExitStatus::done;
}

}  // namespace

void add_display_report_command(Command& display) {
    Command* command =
        display.add_subcommand("report", "a calibration as one page for the readers of a study");
    auto options = std::make_shared<Options>();
    command->add_option("readings", options->readings, "table, one reading a row: r,g,b,nm380,nm381,...")
        ->required();
    command->add_option("--calibration", options->calibration,
                        "file that was fitted to them (none: they are fitted again)");
    command->add_option("--verify", options->verify, "table of readings that the fit has not seen");
    options->out.add_to(command, "page to write (HTML)")->required();
    add_unit_option(command, options->unit);
    command->add_option("--replicates", options->replicates, "of the bootstrap of residuals (200)")
        ->check(within(20, 100000));
    command->add_option("--seed", options->seed, "of the bootstrap (1)");
    command->footer(
        "One file that asks for nothing from outside: text, tables and pictures. Without --verify, readings\n"
        "of steps named verification are looked at, if there are any. Status 0 whatever the report says.");
    finish_command(command, options, run);
}

}  // namespace isoseam
