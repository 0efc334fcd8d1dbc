// isoseam display fit and verify from outside, on real readings (see tests/published/).

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "isoseam_program.h"
#include "support/temporary_folder.h"

using namespace isoseam::test;

namespace {

// The rows of a published table whose drives satisfy `wanted` (how many primaries are lit), as a table of its
// own.
std::string part_of(const std::string& name, bool (*wanted)(int lit)) {
    std::ifstream stream(ISOSEAM_SOURCE_DIR "/tests/published/" + name);
    REQUIRE(stream.good());
    std::string text;
    for (std::string line; std::getline(stream, line);) {
        int lit = 0;
        if (line.starts_with("0.") || line.starts_with("1.")) {
            std::istringstream cells(line);
            std::string cell;
            for (int i = 0; i < 3 && std::getline(cells, cell, ','); ++i)
                lit += std::stod(cell) > 0.0 ? 1 : 0;
            if (!wanted(lit))
                continue;
        }
        text += line + "\n";
    }
    return text;
}

void write(const std::string& path, const std::string& text) {
    std::ofstream(path) << text;
}

bool single(int lit) {
    return lit < 2;
}
bool mixed(int lit) {
    return lit > 1;
}
bool any(int lit) {
    return lit >= 0;
}

}  // namespace

TEST_CASE("display fit and verify: a real screen's primaries foretell its white ramp") {
    const TemporaryFolder folder;
    write(folder.file("primaries.csv"), part_of("display_1_readings.csv", single));
    write(folder.file("white.csv"), part_of("display_1_readings.csv", mixed));
    const std::string calibration = folder.file("screen.yaml");
    const ProgramResult fit =
        run_isoseam({"display", "fit", folder.file("primaries.csv"), "--out", calibration, "--json"});
    INFO(fit.err);
    REQUIRE(fit.status == 0);
    const nlohmann::json fitted = nlohmann::json::parse(fit.out);
    CHECK(fitted["scale_known"] == false);
    CHECK(fitted["unknown"].size() == 9);
    CHECK(fitted["additive"].is_null());
    CHECK(fitted["tests"]["additivity"]["value"].is_null());
    CHECK(fitted["primaries"][0]["tone"]["candidates"].size() == 4);

    const ProgramResult verified =
        run_isoseam({"display", "verify", calibration, folder.file("white.csv"), "--json"});
    INFO(verified.err);
    REQUIRE(verified.status == 0);
    const nlohmann::json result = nlohmann::json::parse(verified.out);
    CHECK(result["verdict"] == "passed");
    CHECK(result["mean_de2000"].get<double>() <= 0.35);
    CHECK(result["max_de2000"].get<double>() <= 1.0);
    CHECK(result["max_cone_contrast_error_percent"].get<double>() <= 1.0);

    const ProgramResult shown = run_isoseam({"display", "show", calibration, "--json"});
    REQUIRE(shown.status == 0);
    CHECK(nlohmann::json::parse(shown.out)["resolution"].is_null());
    const ProgramResult light = run_isoseam({"light", "xyY 0.31 0.33 at 20 cd/m2", "--display", calibration});
    CHECK(light.status == 2);
    CHECK_THAT(light.err, Catch::Contains("unit: the spectra are counts of an instrument"));
    const ProgramResult session = run_isoseam(
        {"session", "rehearse", "demo", "--calibration", calibration, "--out", folder.file("sessions")});
    CHECK(session.status == 2);
    CHECK_THAT(session.err, Catch::Contains("conditions.resolution: unknown, and needed for a session"));
}

TEST_CASE("display fit: a screen that is unfit ends with status 1, and its file says why") {
    const TemporaryFolder folder;
    write(folder.file("phone.csv"), part_of("display_2_readings.csv", any));
    const std::string calibration = folder.file("phone.yaml");
    const ProgramResult fit =
        run_isoseam({"display", "fit", folder.file("phone.csv"), "--out", calibration, "--json"});
    CHECK(fit.status == 1);
    CHECK(nlohmann::json::parse(fit.out)["additive"] == false);
    const ProgramResult shown = run_isoseam({"display", "show", calibration});
    CHECK(shown.status == 0);
    CHECK_THAT(shown.out, Catch::Contains("UNFIT: this screen does not add its primaries up"));
}

TEST_CASE("display verify: errors above the limits end with status 1") {
    const TemporaryFolder folder;
    write(folder.file("primaries.csv"), part_of("display_1_readings.csv", single));
    write(folder.file("other.csv"), part_of("display_2_readings.csv", mixed));
    const std::string calibration = folder.file("screen.yaml");
    REQUIRE(run_isoseam({"display", "fit", folder.file("primaries.csv"), "--out", calibration}).status == 0);
    const ProgramResult result = run_isoseam({"display", "verify", calibration, folder.file("other.csv")});
    CHECK(result.status == 1);
    CHECK_THAT(result.out, Catch::Contains("the calibration does NOT hold"));
}

TEST_CASE("display fit: details of the screen go into the file, and wrong ones are all told") {
    const TemporaryFolder folder;
    write(folder.file("t.csv"), part_of("display_1_readings.csv", any));
    const std::string out = folder.file("screen.yaml");
    const ProgramResult sound = run_isoseam({"display",
                                             "fit",
                                             folder.file("t.csv"),
                                             "--out",
                                             out,
                                             "--json",
                                             "--white-luminance",
                                             "120 cd/m2",
                                             "--name",
                                             "left",
                                             "--measured-on",
                                             "2026-11-20",
                                             "--days-valid",
                                             "180",
                                             "--instrument",
                                             "ours",
                                             "--warm-up",
                                             "30 min",
                                             "--resolution",
                                             "1920x1080",
                                             "--refresh",
                                             "60 Hz",
                                             "--bits",
                                             "8",
                                             "--pixel-pitch",
                                             "0.2745 mm"});
    INFO(sound.err);
    REQUIRE(sound.status == 0);
    CHECK(nlohmann::json::parse(sound.out)["unknown"].empty());
    const nlohmann::json shown = nlohmann::json::parse(run_isoseam({"display", "show", out, "--json"}).out);
    CHECK(shown["valid_until"] == "2027-05-19");
    CHECK(shown["white_xyY"][2].get<double>() == Approx(120.0).epsilon(0.01));
    CHECK(run_isoseam({"light", "xyY 0.31 0.33 at 20 cd/m2", "--display", out}).status == 0);

    const ProgramResult faulty =
        run_isoseam({"display", "fit", folder.file("t.csv"), "--out", out, "--resolution", "1920",
                     "--refresh", "60", "--days-valid", "10"});
    CHECK(faulty.status == 2);
    for (const char* words : {"--resolution: '1920' is no resolution", "--refresh: '60' has no unit",
                              "--days-valid: days from an unknown day"}) {
        CHECK_THAT(faulty.err, Catch::Contains(words));
    }
}
