
#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/figures/gnuplot.h"
#include "analysis/pages/html_document.h"
#include "analysis/pages/pdf_document.h"
#include "base/output_file.h"
#include "base/version.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/lecture/lecture_options.h"
#include "runner/lecture/class_report.h"

namespace isoseam {
namespace {

struct ReportOptions {
    std::string folder;
    std::string out;
    std::string pdf;
    std::string language;
    bool force = false;
};

ExitStatus report(const ReportOptions& options, bool json) {
    const OutputRules rules{options.force, {options.folder}};
    check_output(options.out, "--out", rules);
    if (!options.pdf.empty())
        check_output(options.pdf, "--pdf", rules);
    const SessionFolder folder = read_session_folder(options.folder);
    const GivenLecture given = given_lecture(folder);
    const std::string language = LectureOptions::language(given.room.lecture(), options.language);
    PageDocument document = class_report(folder, given, language, fmt::format("Isoseam {}", kProgramVersion));
    number_captions(document);
    const DrawSvg draw = remembered([](const Figure& figure) { return drawn(figure, PictureFormat::svg); });
    write_output(options.out, html_document(document, draw), "--out", rules);
    if (!options.pdf.empty())
        write_output(options.pdf, pdf_document(document, draw), "--pdf", rules);
    if (json) {
        print_json({{"page", options.out},
                    {"pdf", options.pdf.empty() ? nlohmann::json() : nlohmann::json(options.pdf)},
                    {"people", given.room.joined()}});
    } else {
        fmt::print("{}\n", options.out);
    }
    return ExitStatus::done;
}

}  // namespace

void add_lecture_report_command(Command& lecture) {
    Command* command =
        lecture.add_subcommand("report", "a page with the class's own results, for those who took part");
    auto options = std::make_shared<ReportOptions>();
    command->add_option("folder", options->folder, "what the lecture left behind")->required();
    command->add_option("--out", options->out, "the page, FILE.html")->required();
    command->add_option("--pdf", options->pdf, "the same for paper, FILE.pdf");
    add_force_option(command, options->force);
    command->add_option("--language", options->language, "of the page, such as de (the lecture's first)");
    finish_command(command, options, report);
}

}  // namespace isoseam
