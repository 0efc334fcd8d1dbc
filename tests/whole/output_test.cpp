// Where the program writes: nothing that is there is destroyed, least of all what the same command reads.

#include <catch2/catch.hpp>
#include <filesystem>

#include "isoseam_program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam::test;
using Catch::Contains;
using Words = std::vector<std::string>;

namespace {

// Refused, with --force too, and the file is what it was.
void check_input_stays(Words words, const std::string& file, const std::string& found) {
    const std::string before = file_bytes(file);
    for (const bool force : {false, true}) {
        if (force)
            words.emplace_back("--force");
        CAPTURE(words);
        const ProgramResult result = run_isoseam(words);
        CHECK(result.status == 2);
        CHECK(result.out.empty());
        CHECK_THAT(result.err, Contains("--out: '" + file + "' " + found));
        CHECK(file_bytes(file) == before);
    }
}

}  // namespace

TEST_CASE("an output never takes the place of what its command reads") {
    const TemporaryFolder folder;
    const std::string readings = folder.file("r.csv");
    write_file(readings, file_bytes(ISOSEAM_SOURCE_DIR "/tests/published/display_1_readings.csv"));
    check_input_stays({"display", "fit", readings, "--out", readings}, readings, "is read by this command");
    check_input_stays({"display", "report", readings, "--out", readings}, readings,
                      "is read by this command");

    const std::string calibration = folder.file("c.yaml");
    write_file(calibration, file_bytes(ISOSEAM_SOURCE_DIR "/calibration/demo/demo_lcd.yaml"));
    check_input_stays({"display", "export", calibration, "--format", "csv", "--out", calibration},
                      calibration, "is read by this command");
    const std::string demo = ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml";
    check_input_stays({"protocol", "preview", demo, "--calibration", calibration, "--out", calibration},
                      calibration, "is read by this command");

    const std::string protocol = folder.file("p.yaml");
    write_file(protocol, file_bytes(demo));
    check_input_stays({"protocol", "preview", protocol, "--calibration", calibration, "--out", protocol},
                      protocol, "is read by this command");
}

TEST_CASE("a report never takes the place of a file of the sessions that it tells of") {
    const TemporaryFolder folder;
    REQUIRE(run_isoseam({"session", "rehearse", "precision_one_screen", "--observers", "1", "--out",
                         folder.file("rehearsals")})
                .status == 0);
    const std::string session =
        std::filesystem::directory_iterator(folder.file("rehearsals"))->path().string();
    for (const char* name : {"/session.json", "/settings.jsonl"}) {
        check_input_stays({"analyse", "report", session, "--out", session + name}, session + name,
                          "lies in '" + session + "', which this command reads");
    }
}

TEST_CASE("an output that exists is replaced with --force only") {
    const TemporaryFolder folder;
    const std::string picture = folder.file("eye.svg");
    write_file(picture, "mine");
    const Words words{"observer", "--picture", picture};
    const ProgramResult refused = run_isoseam(words);
    CHECK(refused.status == 2);
    CHECK_THAT(refused.err, Contains("--picture: '" + picture +
                                     "' exists already; name a new file, or replace this one with --force"));
    CHECK(file_bytes(picture) == "mine");
    Words forced = words;
    forced.emplace_back("--force");
    CHECK(run_isoseam(forced).status == 0);
    CHECK(file_bytes(picture).starts_with("<?xml"));
}
