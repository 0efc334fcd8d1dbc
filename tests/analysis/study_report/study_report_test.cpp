#include "analysis/study_report/study_report.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <pugixml.hpp>

#include "analysis/figures/gnuplot.h"
#include "analysis/pages/html_document.h"
#include "analysis/pages/pdf_document.h"
#include "support/example_study.h"
#include "support/report_parts.h"
#include "support/run_program.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::string svg_of(const Figure& figure) {
    return drawn(figure, PictureFormat::svg);
}

}  // namespace

TEST_CASE(
    "rehearsals and demo data are named first of all, and measured sessions of people carry no warning") {
    StudyMaker maker;
    const PageDocument measured = report_of({maker.settings("P01", 3, 1)});
    CHECK(measured.sections.front().title == "Who took part");
    CHECK_FALSE(holds(words_of(measured.sections), "no evidence"));

    maker.kind = "rehearsal";
    maker.measured = false;
    const PageDocument rehearsed = report_of({maker.settings("sim1", 3, 1)});
    REQUIRE(rehearsed.sections.front().title == "Read this first");
    CHECK(rehearsed.sections.front().warns);
    const std::string first = words_of(rehearsed, "Read this first");
    CHECK(holds(first, "REHEARSAL. Simulated observers did all of this; no person took part."));
    CHECK(holds(first, "DEMO DATA. The calibration of \u201cdemo LCD\u201d (demo_lcd.yaml) is invented"));
    CHECK(holds(words_of(rehearsed, "Settings of"), "It is no evidence about people."));
    CHECK(table_of(rehearsed, "Sources of light").rows[0][3] == "INVENTED");

    const PageDocument both = report_of({StudyMaker().settings("P01", 3, 1), maker.settings("sim1", 3, 1)});
    CHECK(holds(words_of(both, "Read this first"),
                "PARTLY REHEARSED. 1 of 2 sessions were by simulated observers"));
    CHECK(tables_of(both, "cone contrast from the predicted match").size() == 2);
}

TEST_CASE("folders left out are named with their reasons, and a study without any other is still told") {
    const StudyMaker maker;
    SessionFolder damaged = maker.settings("P03", 3, 3);
    damaged.folder = "somewhere/sessions/broken";
    damaged.state = SessionState::damaged;
    damaged.faults = {{"/far/away/broken/settings.jsonl", 7, 0, "", "the checksum is wrong", "restore it"}};
    SessionFolder nothing = maker.empty("P04");
    const SessionFolder good = maker.settings("P01", 3, 1);
    SessionFolder copy = good;
    copy.folder = "somewhere/sessions/copy";
    const PageDocument report = report_of({good, damaged, nothing, copy});
    CHECK(holds(words_of(report, "Read this first"), "3 of the 4 folders were given left out") == false);
    CHECK(holds(words_of(report, "Read this first"),
                "3 of the 4 folders given were left out; "
                "\u201cProvenance\u201d says which and why."));
    CHECK(table_of(report, "Folders left out").rows ==
          std::vector<std::vector<std::string>>{
              {"broken", "damaged", "damaged: settings.jsonl:7: the checksum is wrong; restore it"},
              {"P04-11-25", "complete", "it holds neither a setting nor an answer"},
              {"copy", "complete", "it is the same session as P01-11-25"}});
    CHECK(table_of(report, "Folders used").rows[0][1] == good.header.session);
    CHECK(table_of(report, "Participants").rows.size() == 1);

    const PageDocument none = report_of({damaged});
    CHECK(none.title == "Report of a study without sessions");
    CHECK(none.lead.front() == "None of the folders given could be used.");
    CHECK(none.sections.back().title == "Provenance");
}

TEST_CASE("only lights of the same primaries bring the words on what they cannot show") {
    StudyMaker maker;
    const PageDocument one = report_of({maker.settings("P01", 3, 1)});
    const std::string words = words_of(one, "What lights of the same primaries cannot show");
    CHECK(holds(words,
                "In conditions \u201cgrey\u201d and \u201cpale\u201d of grey_match.yaml the lights "
                "compared came from the same primaries."));
    CHECK(holds(words, "never of this person\u2019s cones"));
    maker.screens = {"demo_lcd", "demo_narrow_band"};
    const PageDocument two = report_of({maker.settings("P01", 3, 1)});
    CHECK(section_named(two.sections, "What lights of the same primaries") == nullptr);
    CHECK(holds(words_of(two, "The rig"),
                "grey_match.yaml: the lights compared came from different primaries"));
    // Two sources of one and the same calibration share their primaries too.
    maker.screens = {"demo_lcd", "demo_lcd"};
    const PageDocument alike = report_of({maker.settings("P01", 3, 1)});
    CHECK(section_named(alike.sections, "What lights of the same primaries") != nullptr);
    // A fourth primary makes metamers of its own: then the words would be untrue.
    SessionFolder four = StudyMaker().settings("P01", 3, 1);
    Calibration screen = parse_calibration(four.header.calibrations.begin()->second.text, "four");
    screen.primaries.push_back(screen.primaries[1]);
    screen.primaries.back().name = "fourth";
    std::vector<double> values(screen.black.values().size(), 0.0);
    for (std::size_t i = 0; i < values.size(); ++i) {
        const double from_peak = (screen.black.wavelengths_nm()[i] - 500.0) / 10.0;
        values[i] = 1e-3 * std::exp(-0.5 * from_peak * from_peak);
    }
    screen.primaries.back().spectrum =
        Spectrum::from_radiance_w_sr_m2_nm(screen.black.wavelengths_nm(), values);
    const StoredText stored = stored_text("four.yaml", calibration_text(screen));
    four.header.calibrations = {{stored.sha256, stored}};
    four.header.sources[0].calibration = stored.sha256;
    for (SettingRecord& setting : four.settings) {
        setting.adjusted.linear.push_back(0.1);
        setting.reference.linear.push_back(0.2);
    }
    const PageDocument of_four = report_of({four});
    CHECK(holds(words_of(of_four, "The rig"),
                "grey_match.yaml: the lights compared came from the same primaries."));
    CHECK(section_named(of_four.sections, "What lights of the same primaries") == nullptr);
    for (const PageDocument* report : {&one, &two, &alike}) {
        CHECK(holds(words_of(*report, "Cautions"), "Nothing here is a diagnosis"));
        CHECK(holds(words_of(*report, "Cautions"), "A caution of the protocol."));
    }
}

TEST_CASE("letters of the files stand in the page as letters") {
    StudyMaker maker;
    maker.protocol = "<script>alert(1)</script>.yaml";
    SessionFolder folder = maker.empty("P01");
    maker.add_settings(folder, "<b>& \"grey\"", 3, 1);
    folder.header.cautions = {"</section><img src=x>"};
    const std::string page = html_document(report_of({folder}), svg_of);
    pugi::xml_document parsed;
    REQUIRE(parsed.load_string(page.c_str(), pugi::parse_full));
    for (const char* path : {"//script", "//b", "//img", "//@src"})
        CHECK(parsed.select_nodes(path).empty());
    CHECK(parsed.select_node("//h1").node().text().get() ==
          std::string("Report of a study: <script>alert(1)</script>.yaml"));
    CHECK(parsed.select_node("//td[. = '<b>& \"grey\"']"));
    CHECK(parsed.select_node("//li[. = '</section><img src=x>']"));
    for (const char* outside : {"http", "src=\"", "url(http", "@import", "<script", "<link", "xlink"})
        CHECK_FALSE(holds(page, outside));
}

TEST_CASE("the same folders give the same bytes, wherever they lie, as page and as PDF") {
    const StudyMaker maker;
    std::vector<SessionFolder> folders{maker.settings("P01", 4, 1), maker.settings("P02", 4, 2)};
    const PageDocument once = report_of(folders);
    const std::string page = html_document(once, svg_of);
    const std::string pdf = pdf_document(once, svg_of);
    for (SessionFolder& folder : folders)
        folder.folder = "/quite/elsewhere/" + folder.header.session + "/";
    const PageDocument again = report_of(folders);
    CHECK(html_document(again, svg_of) == page);
    CHECK(pdf_document(again, svg_of) == pdf);
    CHECK_FALSE(holds(page, "elsewhere"));
}

TEST_CASE("the PDF holds the same headings and numbers as the page") {
    const StudyMaker maker;
    const PageDocument report = report_of({maker.settings("P01", 4, 1), maker.answers("P02", {3, 10, 19})});
    const test::TemporaryFolder folder;
    test::write_file(folder.file("report.pdf"), pdf_document(report, svg_of));
    const test::ProgramResult result =
        test::run_program({"pdftotext", "-raw", folder.file("report.pdf"), "-"});
    if (result.status == 127) {
        WARN("pdftotext is missing (Debian: poppler-utils): the words of the PDF are not looked at");
        return;
    }
    REQUIRE(result.status == 0);
    const std::function<void(const std::vector<PageSection>&)> check_headings =
        [&](const std::vector<PageSection>& sections) {
            for (const PageSection& section : sections) {
                CAPTURE(section.title);
                CHECK(holds(result.out, section.title));
                check_headings(section.sections);
            }
        };
    check_headings(report.sections);
    int numbers = 0;
    for_each_block(report, [&](const PageBlock& block) {
        const auto* table = std::get_if<PageTable>(&block);
        for (std::size_t column = 1; table != nullptr && column < table->header.size(); ++column) {
            if (!holds_numbers(*table, column))
                continue;
            for (const std::vector<std::string>& row : table->rows) {
                if (holds(row[column], " "))
                    continue;  // may go on in a second line
                CAPTURE(row[column]);
                CHECK(holds(result.out, row[column]));
                ++numbers;
            }
        }
    });
    CHECK(numbers > 50);
}
