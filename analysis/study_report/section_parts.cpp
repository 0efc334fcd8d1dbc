#include "analysis/study_report/section_parts.h"

#include <fmt/format.h>

#include <utility>

namespace isoseam {

std::string series_words(const SeriesFacts& facts) {
    return fmt::format("{}{}{}", facts.protocol_file, facts.kind == "rehearsal" ? ", rehearsals" : "",
                       facts.demo_calibration ? ", demo or estimated calibration" : "");
}

std::vector<PageBlock> series_notes(const SeriesFacts& facts) {
    std::vector<PageBlock> notes;
    if (facts.kind == "rehearsal")
        notes.emplace_back(PageNote{"Rehearsal:",
                                    "simulated observers did all of this. It is no evidence "
                                    "about people."});
    if (facts.demo_calibration)
        notes.emplace_back(PageNote{"Not for science:",
                                    "a calibration is invented or only estimated, so the lights are not "
                                    "known."});
    if (facts.calibrations_differ)
        notes.emplace_back(PageNote{"Calibrations differ", "between the sessions of this part."});
    return notes;
}

void add_table(PageSection& section, PageTable table) {
    if (!table.rows.empty())
        section.blocks.emplace_back(std::move(table));
}

void add_paragraphs(PageSection& section, const std::vector<std::string>& paragraphs) {
    for (const std::string& paragraph : paragraphs)
        section.blocks.emplace_back(PageParagraph{paragraph});
}

void add_figures(PageSection& section, std::vector<PageFigure> figures) {
    for (PageFigure& figure : figures)
        section.blocks.emplace_back(std::move(figure));
}

void add_list(PageSection& section, const std::string& lead, std::vector<std::string> items) {
    if (items.empty())
        return;
    section.blocks.emplace_back(PageParagraph{lead});
    section.blocks.emplace_back(PageList{std::move(items)});
}

void add_part(PageSection& section, PageSection part) {
    if (!part.blocks.empty())
        section.sections.push_back(std::move(part));
}

}  // namespace isoseam
