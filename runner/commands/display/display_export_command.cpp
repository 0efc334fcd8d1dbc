
#include <fmt/format.h>

#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <vector>

#include "base/calendar.h"
#include "base/errors.h"
#include "base/output_file.h"
#include "calibration/formats/cgats_readings.h"
#include "calibration/formats/icc_profile.h"
#include "calibration/formats/reading_files.h"
#include "calibration/formats/tm27_readings.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/output_option.h"
#include "runner/commands/session_options.h"
#include "runner/screen/preflight.h"

namespace isoseam {
namespace {

namespace fs = std::filesystem;

struct ExportOptions {
    std::string source, format;
    OutputOption out;
};

// What is exported: either a calibration with the readings that it stands for, or readings alone.
struct Source {
    std::optional<Calibration> calibration;
    Readings readings;
    std::string about;  // says in one line what this is
};

Source read_source(const std::string& path) {
    const std::string extension = fs::path(path).extension().string();
    if (extension != ".yaml" && extension != ".yml")
        return {std::nullopt, read_readings(path), "readings of a screen"};
    Source source;
    source.calibration = read_calibration(path);
    source.readings = calculated_readings(*source.calibration);
    source.about = "readings calculated from a calibration, not measured";
    if (source.calibration->invented)
        source.about += " (invented demo data: not for science)";
    return source;
}

// The folder must be new, because files of an earlier export would count as readings of this one.
void write_folder(const std::string& folder, const std::vector<NamedText>& files) {
    if (fs::exists(folder)) {
        throw InputError(Fault{"", 0, 0, "--out", fmt::format("'{}' exists already", folder),
                               "name a new folder: each reading becomes a file in it"});
    }
    std::error_code error;
    fs::create_directories(folder, error);
    if (error)
        throw MachineError(fmt::format("'{}' cannot be made: {}", folder, error.message()),
                           "choose another folder");
    for (const NamedText& file : files)
        write_output((fs::path(folder) / file.name).string(), file.text, "--out", {});
}

std::string icc_bytes(const Source& source) {
    if (!source.calibration) {
        throw InputError(Fault{"", 0, 0, "--format", "readings are no profile of a screen",
                               "fit a calibration to them and export that"});
    }
    if (!source.calibration->unfit.empty())
        throw InputError(Fault{source.calibration->file, 0, 0, "unfit", source.calibration->unfit,
                               "a profile of such a screen would mislead: measure it in another mode"});
    return icc_profile(*source.calibration, source.calibration->interactions.empty());
}

// Writes one of the formats that are one file.
std::string exported(const std::string& format, const Source& source) {
    if (format == "icc")
        return icc_bytes(source);
    if (format == "cgats")
        return cgats_text(source.readings, {"isoseam", source.about, to_string(today()), ""});
    return fmt::format("# {}\n{}", source.about, readings_text(source.readings));
}

void write(const ExportOptions& options, const Source& source) {
    if (options.format == "tm27") {
        Tm27Header header;
        header.description = source.about;
        header.document_creator = "isoseam";
        header.document_creation_date = utc_now();
        write_folder(options.out.path, tm27_files(source.readings, header));
    } else {
        options.out.write(exported(options.format, source), {options.source});
    }
}

ExitStatus run(const ExportOptions& options, bool as_json) {
    const Source source = read_source(options.source);
    write(options, source);
    const bool icc = options.format == "icc";
    const std::string about = icc ? kIccCaution : source.about;
    if (as_json) {
        nlohmann::json json = {{"out", options.out.path}, {"format", options.format}, {"about", about}};
        if (!icc)
            json["readings"] = source.readings.rows.size();
        print_json(json);
    } else {
        fmt::print("{}\n  {}\n", options.out.path, about);
        if (!icc)
            fmt::print("  {} readings\n", source.readings.rows.size());
    }
    return ExitStatus::done;
}

}  // namespace

void add_display_export_command(Command& display) {
    Command* command = display.add_subcommand("export", "a calibration or readings in an open format");
    auto options = std::make_shared<ExportOptions>();
    command
        ->add_option("source", options->source,
                     "calibration file (.yaml), or readings: .csv, .cgats or .txt, .spdx or a folder of them")
        ->required();
    command
        ->add_option("--format", options->format,
                     "csv: our table; cgats: CGATS.17 text; tm27: a folder of IES TM-27 files; icc: display "
                     "profile of a calibration")
        ->required()
        ->check(one_of({"csv", "cgats", "tm27", "icc"}));
    options->out.add_to(command, "file to write; for tm27 a new folder")->required();
    finish_command(command, options, run);
}

}  // namespace isoseam
