// isoseam display verify: holds a calibration file against readings that its fit has never seen.

#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "calibration/fit/verification.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/display/display_parts.h"
#include "runner/commands/json_values.h"

namespace isoseam {
namespace {

using nlohmann::json;

json summary_json(const ErrorSummary& summary) {
    return {{"mean", summary.mean},
            {"median", summary.median},
            {"p95", summary.percentile_95},
            {"max", summary.max}};
}

json colour_json(const ColourError& error) {
    const Eigen::Vector3d& cones = error.cone_contrast_percent;
    return {{"drive", error.drive.fractions},
            {"line", error.line},
            {"readings", error.readings},
            {"de2000", error.de2000},
            {"uv", error.uv},
            {"luminance_percent", error.luminance_percent},
            {"cone_contrast_percent", {{"l", cones[0]}, {"m", cones[1]}, {"s", cones[2]}}}};
}

json verification_json(const Verification& result, const Calibration& calibration) {
    return {{"file", calibration.file},
            {"verdict", result.passed ? "passed" : "failed"},
            {"words", result.words},
            {"colours", result.colours.size()},
            {"mean_de2000", result.de2000.mean},
            {"median_de2000", result.de2000.median},
            {"p95_de2000", result.de2000.percentile_95},
            {"max_de2000", result.de2000.max},
            {"uv", summary_json(result.uv)},
            {"luminance_error_percent", summary_json(result.luminance_percent)},
            {"cone_contrast_error_percent",
             {{"l", summary_json(result.cone_contrast_percent[0])},
              {"m", summary_json(result.cone_contrast_percent[1])},
              {"s", summary_json(result.cone_contrast_percent[2])}}},
            {"p95_cone_contrast_error_percent", result.any_cone_contrast_percent.percentile_95},
            {"max_cone_contrast_error_percent", result.any_cone_contrast_percent.max},
            {"limits", limits_json(result.limits)},
            {"limits_from_file", result.limits_from_file},
            {"white", result.white_was_read ? "read" : "of the calibration"},
            {"relative_to_white", result.relative},
            {"unit", calibration.scale_known ? "W/(sr m2 nm)" : "counts"},
            {"remarks", result.remarks},
            {"each", json_list(result.colours, colour_json)}};
}

void print_row(const char* what, const ErrorSummary& summary) {
    fmt::print("  {:<34} {:>9.3g} {:>9.3g} {:>9.3g} {:>9.3g}\n", what, summary.mean, summary.median,
               summary.percentile_95, summary.max);
}

void print_verification(const Verification& result) {
    fmt::print("{} colours {:>25} {:>9} {:>9} {:>9} {:>9}\n", result.colours.size(), "", "mean", "median",
               "95 %", "max");
    print_row("CIEDE2000", result.de2000);
    print_row("u'v'", result.uv);
    print_row("luminance, % of white", result.luminance_percent);
    print_row("L cone contrast on a mid-grey, %", result.cone_contrast_percent[0]);
    print_row("M cone contrast on a mid-grey, %", result.cone_contrast_percent[1]);
    print_row("S cone contrast on a mid-grey, %", result.cone_contrast_percent[2]);
    for (const std::string& remark : result.remarks)
        fmt::print("  note: {}\n", remark);
    if (!result.limits_from_file)
        fmt::print("  note: the file names no limits; the usual ones were taken\n");
    fmt::print("{}\n", result.words);
}

struct Options {
    std::string file, readings, unit;
};

ExitStatus run(const Options& options, bool as_json) {
    const Calibration calibration = read_calibration(options.file);
    const Verification result =
        verify(calibration, read_readings(options.readings, options.unit), options.readings);
    as_json ? print_json(verification_json(result, calibration)) : print_verification(result);
    return result.passed ? ExitStatus::done : ExitStatus::answer_is_no;
}

}  // namespace

void add_display_verify_command(Command& display) {
    Command* command =
        display.add_subcommand("verify", "a calibration file against readings that its fit has not seen");
    const auto options = std::make_shared<Options>();
    command->add_option("file", options->file, "calibration file")->required();
    command->add_option("readings", options->readings, "table, one reading a row: r,g,b,nm380,nm381,...")
        ->required();
    add_unit_option(command, options->unit);
    command->footer("Status 1: an error is above a limit of the file.");
    finish_command(command, options, run);
}

}  // namespace isoseam
