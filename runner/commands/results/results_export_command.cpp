
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <memory>
#include <mutex>
#include <nlohmann/json.hpp>

#include "base/calendar.h"
#include "base/version.h"
#include "calibration/display_model.h"
#include "results_schema/export.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/json_values.h"
#include "runner/commands/session_options.h"

namespace isoseam {
namespace {

// The screens of the sessions, made from the calibrations that the sessions hold. Each screen is built once.
class Screens {
  public:
    HalfSpectrum spectrum_of(const SessionHeader& header, const HalfRecord& half) {
        const Spectrum light = model_of(header, half)
                                   ->spectrum({Eigen::Map<const Eigen::VectorXd>(
                                       half.linear.data(), static_cast<Eigen::Index>(half.linear.size()))});
        // A calibration is a table of readings, so its light has no lines.
        ISOSEAM_CHECK(light.lines().empty());
        return {light.wavelengths_nm(), light.values()};
    }

  private:
    std::shared_ptr<const DisplayModel> model_of(const SessionHeader& header, const HalfRecord& half) {
        const auto source =
            std::find_if(header.sources.begin(), header.sources.end(),
                         [&](const SourceRecord& record) { return record.name == half.source; });
        if (source == header.sources.end())
            throw InputError(
                Fault{"session.json", 0, 0, "sources",
                      fmt::format("there is no source '{}', which lit half {}", half.source, half.half),
                      "restore the file from a copy"});
        const std::lock_guard lock(mutex_);
        std::shared_ptr<const DisplayModel>& model = models_[source->calibration];
        if (model == nullptr) {
            const StoredText& stored = header.calibrations.at(source->calibration);
            model = std::make_shared<const DisplayModel>(parse_calibration(stored.text, stored.file));
        }
        if (model->primary_count() != static_cast<int>(half.linear.size()))
            throw InputError(
                Fault{"settings.jsonl", 0, 0, "linear",
                      fmt::format("half {} has {} linear drives, and its calibration {} primaries", half.half,
                                  half.linear.size(), model->primary_count()),
                      "restore the file from a copy"});
        return model;
    }

    std::mutex mutex_;
    // The models are named by the SHA-256 of the calibration.
    std::map<std::string, std::shared_ptr<const DisplayModel>> models_;
};

nlohmann::json export_json(const ExportReport& report, const std::string& out) {
    const auto folder_json = [](const ExportedFolder& folder) {
        return nlohmann::json{{"folder", folder.folder},          {"session", folder.session},
                              {"state", to_string(folder.state)}, {"settings", folder.settings},
                              {"answers", folder.answers},        {"reason", folder.reason}};
    };
    return {{"out", out},
            {"whole", report.whole()},
            {"folders", json_list(report.folders, folder_json)},
            {"files", report.files}};
}

// The status is 1 when anything was not exported as a whole.
ExitStatus export_to(const ExportOrder& order, bool json) {
    const ExportReport report = export_sessions(order);
    std::size_t settings = 0;
    std::size_t answers = 0;
    for (const ExportedFolder& folder : report.folders) {
        settings += folder.settings;
        answers += folder.answers;
        if (!folder.reason.empty())
            tell(fmt::format("{}: {}", folder.folder, folder.reason));
    }
    if (json)
        print_json(export_json(report, order.out));
    else
        fmt::print("{}: {} setting(s) and {} answer(s) in {} file(s){}\n", order.out, settings, answers,
                   report.files.size(), report.whole() ? "" : "; not everything is there, see its README");
    return report.whole() ? ExitStatus::done : ExitStatus::answer_is_no;
}

struct ExportOptions {
    ExportOrder order;
    std::string to;
    bool spectra = false;
};

ExportOrder order_of(const ExportOptions& options) {
    ExportOrder order = options.order;
    order.form = options.to == "bids"       ? ExportForm::bids
                 : options.to == "psych-ds" ? ExportForm::psych_ds
                                            : ExportForm::csv;
    if (options.spectra && order.form != ExportForm::csv)
        throw InputError(Fault{"", 0, 0, "--spectra",
                               fmt::format("spectra are not exported to {}", options.to),
                               "export to csv, or leave --spectra out"});
    if (options.spectra)
        order.spectrum_of = [screens = std::make_shared<Screens>()](const SessionHeader& header,
                                                                    const HalfRecord& half) {
            return screens->spectrum_of(header, half);
        };
    constexpr std::size_t kLengthOfDate = 10;
    order.date = utc_now().substr(0, kLengthOfDate);
    order.program_version = kProgramVersion;
    return order;
}

}  // namespace

void add_export_command(Command& results) {
    Command* command =
        results.add_subcommand("export", "a data set for others: BIDS, Psych-DS, or long tables");
    auto options = std::make_shared<ExportOptions>();
    options->order.name = "Colour matches";
    command->add_option("folder", options->order.folders, "session folders")->required();
    command->add_option("--to", options->to, "bids, psych-ds or csv")
        ->required()
        ->check(one_of({"bids", "psych-ds", "csv"}));
    command->add_option("--out", options->order.out, "folder to make; one that is there must be empty")
        ->required();
    command->add_option("--name", options->order.name, "name of the data set (Colour matches)");
    command->add_flag("--spectra", options->spectra,
                      "with csv: a table of the spectra of both lights of every setting and answer");
    command->footer(
        "Settings and answers, by the participant's code; consent and questions stay in the session "
        "folders.\n"
        "Ends with status 1 when a folder was left out or is damaged; messages and README say which and "
        "why.");
    finish_command(command, [options](bool json) { return export_to(order_of(*options), json); });
}

}  // namespace isoseam
