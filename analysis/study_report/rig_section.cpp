#include <fmt/format.h>
#include <fmt/ranges.h>

#include "analysis/study_report/section_parts.h"
#include "analysis/study_report/study_tables.h"
#include "analysis/study_report/study_words.h"
#include "analysis/study_report/word_lists.h"
#include "analysis/summaries/text_layout.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

std::string told(const Calibration& screen, const char* key, const std::string& value) {
    return tells(screen, key) ? value : "not told";
}

std::string kind_words(const UsedCalibration& used) {
    if (!used.calibration)
        return "cannot be read";
    if (used.calibration->invented)
        return "INVENTED";
    return used.calibration->estimated ? "ESTIMATED" : "measured";
}

PageTable source_table(const StudyEvidence& evidence) {
    PageTable table{"Sources of light, as the sessions had them.",
                    {"source", "screen", "calibration", "it is", "bits", "dither", "sessions"}};
    for (const auto& [source, sessions] : evidence.sources) {
        const UsedCalibration& used = calibration_of(evidence, source.calibration);
        table.rows.push_back({source.name, screen_words(used), used.file, kind_words(used),
                              std::to_string(source.bits), source.dither, std::to_string(sessions)});
    }
    return table;
}

PageTable calibration_table(const StudyEvidence& evidence) {
    PageTable table{"Calibrations. Luminance and chromaticity: CIE 1931, as the calibration foretells them.",
                    {"calibration", "screen", "panel", "measured on", "with", "valid until", "primaries",
                     "white, cd/m\u00b2", "x", "y", "black, cd/m\u00b2"}};
    for (const UsedCalibration& used : evidence.calibrations) {
        if (!used.calibration)
            continue;
        const Calibration& screen = *used.calibration;
        std::vector<std::string> row{used.file,
                                     told(screen, "screen.name", screen.name),
                                     screen.panel.empty() ? "not told" : screen.panel,
                                     told(screen, "measured.on", to_string(screen.measured_on)),
                                     told(screen, "measured.with", screen.measured_with),
                                     told(screen, "valid_until", to_string(screen.valid_until)),
                                     std::to_string(screen.primaries.size())};
        if (used.white && has_chromaticity(*used.white)) {
            const XyY white = xyy_from_xyz(*used.white);
            for (const auto& [value, decimals] :
                 {std::pair(white.luminance_cd_m2, 2), std::pair(white.chromaticity.x, 4),
                  std::pair(white.chromaticity.y, 4), std::pair(used.black->y, 3)})
                row.push_back(fixed(value, decimals));
        } else {
            row.insert(row.end(), 4, "n.d.");
        }
        table.rows.push_back(row);
    }
    return table;
}

PageTable screen_table(const StudyEvidence& evidence) {
    PageTable table{"Screens, as the machine reported them; clock of the first such session.",
                    {"screen", "pixels", "refresh, Hz", "bits", "driver, renderer", "clock", "sessions"}};
    for (const auto& [screen, sessions] : evidence.screens) {
        const std::string clock = screen.clock
                                      ? fmt::format("{:.4g} ms, SD {:.2g} ms, {}{}", screen.clock->period_ms,
                                                    screen.clock->spread_ms, screen.clock->stamp,
                                                    screen.clock->synchronised ? "" : ", not synchronised")
                                      : "no frame was timed";
        table.rows.push_back({fmt::format("{} {}", screen.index, screen.name),
                              fmt::format("{} \u00d7 {}", screen.width_px, screen.height_px),
                              screen.refresh_hz > 0.0 ? fmt::format("{:g}", screen.refresh_hz) : "not told",
                              std::to_string(screen.bits),
                              fmt::format("{}, {}", screen.video_driver, screen.renderer), clock,
                              std::to_string(sessions)});
    }
    return table;
}

// Which pairs of halves had the same primaries, series by series.
std::vector<std::string> primaries_words(const StudyEvidence& evidence) {
    std::vector<std::string> words;
    for (const AskedSeries& series : evidence.series) {
        std::size_t same = 0;
        std::size_t unknown = 0;
        for (const AskedCondition& condition : series.conditions) {
            same += condition.shares_primaries ? 1 : 0;
            unknown += condition.primaries_known ? 0 : 1;
        }
        const std::size_t all = series.conditions.size();
        std::string line = series.facts.protocol_file + ": ";
        if (unknown > 0)
            line +=
                "whether the lights compared had the same primaries cannot be told, since a calibration "
                "cannot be read.";
        else if (same == all)
            line += "the lights compared came from the same primaries.";
        else if (same == 0)
            line +=
                "the lights compared came from different primaries, so where a match falls depends on the "
                "eye, and on errors of either calibration.";
        else
            line += fmt::format("in {} of {} the lights compared came from the same primaries.", same,
                                counted(all, "condition"));
        words.push_back(line);
    }
    return words;
}

}  // namespace

PageSection rig_section(const StudyEvidence& evidence) {
    PageSection section{"The rig"};
    section.blocks.emplace_back(source_table(evidence));
    add_table(section, calibration_table(evidence));
    section.blocks.emplace_back(PageList{primaries_words(evidence)});
    if (evidence.screens.empty())
        add_paragraphs(section, {"No real screen showed anything: none is recorded."});
    add_table(section, screen_table(evidence));
    return section;
}

}  // namespace isoseam
