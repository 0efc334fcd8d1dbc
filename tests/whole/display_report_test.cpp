// isoseam display report from outside, on real readings (see tests/published/).

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <pugixml.hpp>

#include "isoseam_program.h"
#include "results_schema/sha256.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam::test;

TEST_CASE("display report: a page of a real screen, from its readings and its calibration") {
    const TemporaryFolder folder;
    const std::string readings = ISOSEAM_SOURCE_DIR "/tests/published/display_1_readings.csv";
    const std::string calibration = folder.file("screen & co.yaml");
    const std::string page = folder.file("report.html");
    REQUIRE(run_isoseam({"display", "fit", readings, "--out", calibration, "--replicates", "20"}).status ==
            0);
    const ProgramResult report =
        run_isoseam({"display", "report", readings, "--calibration", calibration, "--verify", readings,
                     "--out", page, "--replicates", "20", "--json"});
    INFO(report.err);
    REQUIRE(report.status == 0);
    const nlohmann::json json = nlohmann::json::parse(report.out);
    CHECK(json["calibration_follows_from_readings"] == true);
    CHECK(json["figures"] ==
          nlohmann::json({"spectra", "tone", "scores", "additivity", "verification", "gamut"}));
    CHECK(json["inputs"][1]["sha256"] == isoseam::sha256_hex(file_bytes(calibration)));

    pugi::xml_document document;
    REQUIRE(document.load_file(page.c_str()));
    const auto text = [&](const char* path) {
        return std::string(document.select_node(path).node().text().get());
    };
    CHECK(text("//table[caption = 'Input files.']/tbody/tr[2]/td[1]") == "screen & co.yaml");
    CHECK(text("//table[caption = 'Input files.']/tbody/tr[1]/td[2]") ==
          isoseam::sha256_hex(file_bytes(readings)));
    // Verified with what was fitted: said first of all.
    CHECK(text("//section[@class = 'warnings']//li[2]").find("20 readings of the verification are among") ==
          0);
}

TEST_CASE("display report: a page that cannot be written is told, and so is a missing table") {
    const TemporaryFolder folder;
    const std::string readings = ISOSEAM_SOURCE_DIR "/tests/published/display_1_readings.csv";
    const ProgramResult nowhere = run_isoseam(
        {"display", "report", readings, "--out", folder.file("none/report.html"), "--replicates", "20"});
    CHECK(nowhere.status == 3);
    CHECK_THAT(nowhere.err, Catch::Contains("report.html: cannot be written (No such file or directory)"));
    CHECK(
        run_isoseam({"display", "report", folder.file("none.csv"), "--out", folder.file("r.html")}).status ==
        2);
}
