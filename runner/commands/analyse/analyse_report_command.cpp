
#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/figures/gnuplot.h"
#include "analysis/pages/html_document.h"
#include "analysis/pages/pdf_document.h"
#include "analysis/study_report/study_report.h"
#include "base/errors.h"
#include "base/output_file.h"
#include "base/version.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/analyse/analyse_parts.h"
#include "runner/commands/json_values.h"

namespace isoseam {
namespace {

struct Words {
    std::vector<std::string> folders;
    std::string out;
    std::string pdf;
    bool force = false;
};

nlohmann::json report_json(const Words& words, const StudyEvidence& evidence, const PageDocument& document) {
    return {
        {"report", words.out},
        {"pdf", words.pdf.empty() ? nlohmann::json() : nlohmann::json(words.pdf)},
        {"sections", json_list(document.sections, [](const PageSection& section) { return section.title; })},
        {"folders", folders_json(evidence.folders, "record")}};
}

ExitStatus run(const Words& words, bool as_json) {
    if (words.pdf == words.out)
        throw InputError(Fault{"", 0, 0, "--pdf", fmt::format("'{}' is the page's file too", words.pdf),
                               "write page and PDF to two files"});
    const OutputRules rules{words.force, words.folders};
    check_output(words.out, "--out", rules);
    if (!words.pdf.empty())
        check_output(words.pdf, "--pdf", rules);
    std::vector<SessionFolder> folders;
    read_in_order(words.folders, ReadFor::study, [&](SessionFolder&& folder) {
        if (folder.header_ok && folder.header.kind == "lecture") {
            throw InputError(Fault{folder.folder, 0, 0, "",
                                   "is what a lecture left behind, and no session of a study",
                                   "leave it out here; isoseam lecture report tells of it"});
        }
        folders.push_back(std::move(folder));
    });
    const StudyEvidence evidence = gather_study(folders);
    const PageDocument document = study_report(evidence, fmt::format("isoseam {}", kProgramVersion));
    const DrawSvg draw = remembered([](const Figure& figure) { return drawn(figure, PictureFormat::svg); });
    write_output(words.out, html_document(document, draw), "--out", rules);
    if (!words.pdf.empty())
        write_output(words.pdf, pdf_document(document, draw), "--pdf", rules);
    if (as_json) {
        print_json(report_json(words, evidence, document));
    } else {
        fmt::print("{}\n", words.out);
        if (!words.pdf.empty())
            fmt::print("{}\n", words.pdf);
        for (const FolderUse& use : evidence.folders) {
            if (!use.left_out_because.empty())
                fmt::print(stderr, "left out {}: {}\n", use.folder, use.left_out_because);
        }
    }
    return status_of(evidence.folders);
}

}  // namespace

void add_analyse_report_command(Command& analyse) {
    const auto words = std::make_shared<Words>();
    Command* command = add_folders_command(
        analyse, "report",
        "a study on one page: who, with what, what was asked, what came of it, how far it goes",
        words->folders);
    command->add_option("--out", words->out, "page to write (HTML)")->required();
    command->add_option("--pdf", words->pdf, "the same as PDF (A4)");
    add_force_option(command, words->force);
    command->footer(
        "One file that asks for nothing from outside: text, tables and pictures. The same folders give the\n"
        "same bytes. Ends with status 1 when a folder had to be left out; the report says which and why.");
    finish_command(command, words, run);
}

}  // namespace isoseam
