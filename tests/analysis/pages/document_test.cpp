#include "analysis/pages/document.h"

#include <catch2/catch.hpp>

#include "support/example_document.h"

using namespace isoseam;

TEST_CASE("columns of numbers are told from columns of words, and the first column is never one") {
    const PageTable table{"",
                          {"0", "signs", "words", "ranges", "days", "missing"},
                          {{"1", "+0.5", "2 red", "0.5 to 0.7", "2026-11-25", "n.d."},
                           {"2", "\u22121.5e-05", "3", "-1 to 2", "2026-11-26", "\u2013"}}};
    std::vector<bool> found;
    for (std::size_t i = 0; i < table.header.size(); ++i)
        found.push_back(holds_numbers(table, i));
    CHECK(found == std::vector<bool>{false, true, false, true, false, true});
}

TEST_CASE("tables and figures are numbered each for themselves in the order of reading") {
    std::vector<std::string> captions;
    for_each_block(test::example_document(), [&](const PageBlock& block) {
        if (const auto* table = std::get_if<PageTable>(&block))
            captions.push_back(table->caption);
        else if (const auto* figure = std::get_if<PageFigure>(&block))
            captions.push_back(figure->caption);
    });
    CHECK(captions == std::vector<std::string>{"Table 1. Counts, invented.", "Figure 1. A picture.",
                                               "Table 2. Counts, invented.", "Figure 2. Another picture."});
}

TEST_CASE("A remembered drawing is made once for each figure") {
    int made = 0;
    const DrawSvg draw = remembered([&](const Figure& figure) {
        ++made;
        return figure.title;
    });
    const Figure first = test::example_figure("one");
    const Figure second = test::example_figure("two");
    CHECK(draw(first) + draw(second) + draw(first) == "onetwoone");
    CHECK(made == 2);
}
