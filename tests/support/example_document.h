#pragma once
// An invented report with a block of each kind, letters that would be mark-up elsewhere, and tables of any
// length.

#include <fmt/format.h>

#include "analysis/pages/document.h"

namespace isoseam::test {

inline Figure example_figure(const std::string& title = "points on a line") {
    Panel panel{.x = {.label = "x", .from = 0.0, .to = 3.0}, .y = {.label = "y", .from = 0.0, .to = 3.0}};
    panel.series.push_back({.kind = Series::Kind::line,
                            .name = "a line",
                            .x = {0.5, 1.0, 2.5},
                            .y = {0.5, 1.5, 2.0},
                            .marker = Marker::filled_circle});
    return {.title = title,
            .description = "Three points, <each> higher than the one before & joined by a line.",
            .rows = {{1.0, {panel}}},
            .height_mm = 60.0};
}

inline PageTable example_table(int rows) {
    PageTable table{"Counts, invented.", {"name", "count", "in words"}, {}};
    for (int i = 1; i <= rows; ++i)
        table.rows.push_back(
            {fmt::format("row{}", i), fmt::format("{}", 1000 + i), fmt::format("about {} things", i)});
    return table;
}

inline PageDocument example_document(int rows = 3) {
    PageDocument document;
    document.title = "A report of <b>nothing</b> & more";
    document.lead = {"Below the title."};
    document.dated_utc = "2026-11-25T16:03:12Z";
    document.program = "a test 1.0";
    document.closing = "Written by a test.";
    document.sections = {
        {"Read this first", {PageList{{"The first warning.", "The \u201csecond\u201d warning."}}}, {}, true},
        {"Numbers",
         {PageParagraph{"1 < 2 & 3 > 2."}, PageNote{"Mind:", "a note."}, example_table(rows)},
         {{"Inner part", {PageFigure{"A picture.", example_figure()}}, {}, false},
          {"Other part", {PageParagraph{"Words."}, example_table(2)}, {}, false}},
         false},
        {"Drawn", {PageFigure{"Another picture.", example_figure("points again")}}, {}, false}};
    number_captions(document);
    return document;
}

}  // namespace isoseam::test
