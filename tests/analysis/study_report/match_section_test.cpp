#include "analysis/study_report/match_section.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/summaries/text_layout.h"
#include "support/example_study.h"
#include "support/report_parts.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::string mean_sd(const Estimate& estimate) {
    return fixed(100.0 * estimate.mean, 3) + " " + fixed(100.0 * estimate.sd.value(), 3);
}

}  // namespace

TEST_CASE("every number of the tables of settings is the summary's, and every participant is there") {
    const StudyMaker maker;
    const std::vector<SessionFolder> folders{maker.settings("P01", 6, 1), maker.settings("P02", 5, 2),
                                             maker.settings("P02", 4, 3, "2026-11-26")};
    const PageDocument report = report_of(folders);
    const MatchSummary summary = summarise_matches(folders);
    REQUIRE(summary.series.size() == 1);
    const std::vector<ConditionSummary>& rows = summary.series[0].conditions;
    REQUIRE(rows.size() == 6);  // of P01, P02 and all together, two conditions each

    const PageTable contrasts = table_of(report, "cone contrast from the predicted match");
    const PageTable scatter = table_of(report, "Scatter in MacLeod-Boynton");
    const PageTable axes = table_of(report, "Settings along each axis");
    REQUIRE(contrasts.rows.size() == rows.size());
    REQUIRE(scatter.rows.size() == 4);
    REQUIRE(axes.rows.size() == 2 * rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const ConditionSummary& row = rows[i];
        const std::vector<std::string>& cells = contrasts.rows[i];
        CHECK(cells[0] == row.participant.value_or("all together"));
        CHECK(cells[1] == row.condition);
        CHECK(cells[2] == std::to_string(row.settings));
        for (std::size_t cone = 0; cone < 3; ++cone)
            CHECK(cells[3 + 2 * cone] + " " + cells[4 + 2 * cone] == mean_sd(row.contrast[cone]));
        CHECK(cells[9] == fixed(100.0 * row.distance, 3));
        CHECK(cells[10] == fixed(row.duration_s.mean, 1));
        for (std::size_t axis = 0; axis < 2; ++axis) {
            const std::vector<std::string>& along = axes.rows[2 * i + axis];
            CHECK(along[2] == row.axes[axis]);
            CHECK(along[5] + " " + along[6] == mean_sd(row.setting[axis]));
            CHECK(along[9] == fixed(100.0 * row.range[axis].midpoint(), 3));
        }
        if (!row.participant)
            continue;
        const Ellipse ellipse = ellipse_of(*row.chromaticity, EllipseKind::of_settings).value();
        CHECK(scatter.rows[i][2] == fixed(1000.0 * row.chromaticity->mean[0], 3));
        CHECK(scatter.rows[i][4] == fixed(1000.0 * ellipse.semi_major, 3));
        CHECK(scatter.rows[i][5] == fixed(1000.0 * ellipse.semi_minor, 3));
    }
    const PageTable components = table_of(report, "Spread within and between");
    REQUIRE(components.rows.size() == summary.series[0].components.size());
    for (std::size_t i = 0; i < components.rows.size(); ++i) {
        const ComponentsSummary& one = summary.series[0].components[i];
        const double factor = one.coordinate == "l" || one.coordinate == "s" ? 1000.0 : 100.0;
        CAPTURE(one.coordinate);
        CHECK(components.rows[i][4] == fixed(factor * std::sqrt(one.components.within), 3));
        CHECK(components.rows[i][9] == (one.components.observers_differ() ? "yes" : "not told from 0"));
    }
    CHECK(table_of(report, "Participants").rows ==
          std::vector<std::vector<std::string>>{
              {"P01", "person", "1", "2026-11-25", "12", "0", "0", "0"},
              {"P02", "person", "2", "2026-11-25, 2026-11-26", "18", "0", "0", "0"}});
}
