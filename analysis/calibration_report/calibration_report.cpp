#include "analysis/calibration_report/calibration_report.h"

#include <fmt/format.h>

#include "analysis/calibration_report/report_numbers.h"
#include "analysis/calibration_report/report_words.h"
#include "analysis/pages/html.h"

namespace isoseam {
namespace {

pugi::xml_node add_section(pugi::xml_node parent, const std::string& title) {
    const pugi::xml_node section = add_element(parent, "section");
    add_element(section, "h2", title);
    return section;
}

void add_warnings(pugi::xml_node parent, const std::vector<std::string>& warnings) {
    if (warnings.empty())
        return;
    pugi::xml_node section = add_section(parent, "Warnings");
    section.append_attribute("class") = "warnings";
    add_list(section, warnings);
}

void add_summary(pugi::xml_node parent, const CalibrationEvidence& evidence) {
    const pugi::xml_node section = add_section(parent, "Summary");
    for (const std::string& paragraph : what_was_measured(evidence))
        add_paragraph(section, paragraph);
    add_element(section, "h3", "How far to trust it");
    add_list(section, how_far_to_trust(evidence));
    add_element(section, "h3", "What it cannot do");
    add_list(section, what_it_cannot_do(evidence));
}

void add_figures(pugi::xml_node parent, const CalibrationEvidence& evidence, const Draw& draw) {
    const pugi::xml_node section = add_section(parent, "Figures");
    int number = 0;
    for (const ReportFigure& one : report_figures(evidence)) {
        const pugi::xml_node figure = add_element(section, "figure");
        add_drawing(figure, draw(one.figure), one.id);
        add_element(figure, "figcaption", fmt::format("Figure {}. {}", ++number, one.caption));
    }
    const std::vector<std::string> missing = left_out(evidence);
    if (!missing.empty()) {
        add_paragraph(section, "Not shown, since the readings hold no data for it:");
        add_list(section, missing);
    }
}

void add_provenance(pugi::xml_node parent, const CalibrationEvidence& evidence,
                    const std::vector<ReportedFile>& files, const std::string& program) {
    const pugi::xml_node section = add_section(parent, "Provenance");
    PageTable table{"Input files.", {"what", "file", "SHA-256"}};
    for (const ReportedFile& file : files)
        table.rows.push_back({file.part, file.name, file.sha256});
    add_table(section, table);
    if (!evidence.departure_from_fit)
        add_paragraph(section,
                      "No calibration file was given: the calibration is the fit of these readings.");
    else if (*evidence.departure_from_fit <= kSameCalibration)
        add_paragraph(section,
                      "The calibration file is the fit of these readings: they were fitted again for this "
                      "report, with the same result.");
    add_paragraph(section, fmt::format("Written by {}. The same files give the same report.", program));
}

}  // namespace

std::string calibration_report(const CalibrationEvidence& evidence, const std::vector<ReportedFile>& files,
                               const std::string& program, const Draw& draw) {
    const Calibration& screen = evidence.calibration;
    const std::string title =
        is_told(screen, "screen.name") ? "Calibration of " + screen.name : "Calibration of a screen";
    HtmlPage page(title);
    const pugi::xml_node main = add_element(page.body, "main");
    add_element(main, "h1", title);
    add_warnings(main, warnings_of(evidence));
    add_summary(main, evidence);
    const pugi::xml_node section = add_section(main, "Methods");
    for (const std::string& paragraph : methods(evidence))
        add_paragraph(section, paragraph);
    const pugi::xml_node numbers = add_section(main, "Numbers");
    for (const PageTable& table : report_tables(evidence))
        add_table(numbers, table);
    add_figures(main, evidence, draw);
    add_provenance(main, evidence, files, program);
    return page.text();
}

}  // namespace isoseam
