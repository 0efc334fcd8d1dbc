#include "calibration/formats/tm27_readings.h"

#include <catch2/catch.hpp>

#include "support/error_text.h"
#include "support/example_readings.h"

using namespace isoseam;
using namespace isoseam::test;
using Catch::Matchers::Contains;

namespace {

std::vector<NamedText> example_files() {
    Tm27Header header;
    header.description = "readings";
    header.document_creator = "a lab";
    header.document_creation_date = "2026-11-20";
    Readings readings = example_readings();
    readings.rows.resize(2);
    return tm27_files(readings, header);
}

void change(std::string& text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("readings go through IES TM-27 files and back, bit by bit") {
    const Tm27Header header{"d", "c", "2026-11-20", "", "", "", "", "", "", "", ""};
    for (const std::vector<std::string>& primaries :
         {std::vector<std::string>{"r", "g", "b"}, {"p1", "p2", "p3", "p4"}}) {
        Readings readings = example_readings(primaries);
        const std::vector<NamedText> files = tm27_files(readings, header);
        CHECK(files.front().name == "reading_0001.spdx");
        CHECK(files.back().name == "reading_0040.spdx");
        CHECK(difference(readings_from_tm27(files), readings) == "");
        readings.unit = ReadingUnit::counts;
        CHECK(difference(readings_from_tm27(tm27_files(readings, header)), readings) == "");
    }
}

TEST_CASE("IES TM-27 files that make no table are refused with file and line") {
    const auto fault_after = [](const std::string& from, const std::string& to) {
        std::vector<NamedText> files = example_files();
        change(files[1].text, from, to);
        return input_error_text([&] { readings_from_tm27(files); });
    };
    CHECK_THAT(fault_after("g=1", "g=1.5"),
               Contains("reading_0002.spdx:7: Comments: 'g=1.5'; write the drives, from 0 to 1"));
    CHECK_THAT(fault_after("g=1", "g=nan"), Contains("Comments: 'g=nan'"));
    CHECK_THAT(fault_after("g=1", "a remark"), Contains("Comments: 'a remark'"));
    CHECK_THAT(fault_after("height=0.25", "height=0"), Contains("Comments: 'height=0'"));
    CHECK_THAT(fault_after("r=1, g=1, b=1", "p1=1, p2=1, p3=1"), Contains("other primaries"));
    CHECK_THAT(fault_after("wavelength=\"380\"", "wavelength=\"379\""), Contains("other wavelengths"));
    CHECK_THAT(fault_after("radiance", "relative"), Contains("another quantity"));
    CHECK_THAT(fault_after("r=1, g=1, b=1, ", ""), Contains("drives of 0 primaries"));
    CHECK_THAT(input_error_text([] { readings_from_tm27({}); }), Contains("no file of a spectrum"));

    std::vector<NamedText> files = example_files();
    change(files[0].text, "radiance", "flux");
    change(files[1].text, "g=1", "g=2");
    CHECK_THAT(
        input_error_text([&] { readings_from_tm27(files); }),
        Contains("reading_0001.spdx:10: SpectralQuantity") && Contains("reading_0002.spdx:7: Comments"));
}
