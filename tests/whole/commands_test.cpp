// The built program from outside: what the commands print, how they end, and what they say to bad input.

#include <catch2/catch.hpp>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>

#include "isoseam_program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/tolerances.h"

using namespace isoseam::test;

namespace {

const std::string kDemoLcd = ISOSEAM_SOURCE_DIR "/calibration/demo/demo_lcd.yaml";
const std::string kFaulty = ISOSEAM_SOURCE_DIR "/tests/calibration/faulty/";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("wrong usage and bad files end with 2 and say where, what and what to do") {
    const TemporaryFolder folder;
    const std::string lcd = file_bytes(kDemoLcd);
    write_file(folder.file("version.yaml"),
               replaced(lcd, "isoseam_calibration: 1", "isoseam_calibration: 7"));
    write_file(folder.file("unit.yaml"), replaced(lcd, "W/(sr m2 nm)", "mW/(sr m2 nm)"));
    write_file(folder.file("key.yaml"), replaced(lcd, "valid_until:", "valid_untill:"));
    struct Case {
        std::vector<std::string> words;
        std::vector<std::string> said;
    };
    const std::vector<Case> cases = {
        {{}, {"--help"}},
        {{"obsever"}, {"obsever", "--help"}},
        {{"observer", "--field", "12"}, {"field", "1 to 10"}},
        {{"observer", "--age", "95"}, {"age", "20 to 80"}},
        {{"light", "monochromatic 589 mm at 20 cd/m2"}, {"mm", "nm"}},
        {{"light", "monocromatic 589 nm at 20 cd/m2"}, {"monocromatic", "monochromatic"}},
        {{"light", "xyY 0.3 0.3 at 20 cd/m2", "--display", folder.file("none.yaml")}, {"none.yaml"}},
        {{"light"}, {"no light", "monochromatic 589 nm"}},
        {{"light", "equal-energy at 20 cd/m2", "black", "--threshold", "1"}, {"--threshold", "no unit", "%"}},
        {{"light", "equal-energy at 20 cd/m2", "black", "--threshold-s", "0 %"},
         {"threshold-s", "more than 0 %"}},
        {{"light", "equal-energy at 20 cd/m2", "black", "--eyes", "-3"}, {"--eyes", "-3"}},
        {{"light", "--match", "raleigh"}, {"raleigh", "rayleigh"}},
        {{"light", "black", "--match", "rayleigh"}, {"--match", "its own lights"}},
        {{"light", "--match", "moreland", "--desaturation", "100 %"}, {"desaturation", "less than 100 %"}},
        {{"light", "--solve", "black", "black", "black", "black"},
         {"--solve", "4 words without '='", "A B C"}},
        {{"light", "--solve", "monochromatic 530 nm at 1 cd/m2", "monochromatic 530 nm at 2 cd/m2",
          "monochromatic 450 nm at 1 cd/m2", "=", "equal-energy at 1 cd/m2"},
         {"condition number", "10000"}},
        {{"display", "show", folder.file("version.yaml")}, {"version.yaml:", "isoseam_calibration", "7"}},
        {{"display", "show", folder.file("unit.yaml")}, {"unit.yaml:", "mW/(sr m2 nm)", "W/(sr m2 nm)"}},
        {{"display", "show", folder.file("key.yaml")}, {"key.yaml:", "valid_untill", "valid_until"}},
        {{"display", "show", kFaulty + "negative_sample.yaml"}, {"negative_sample.yaml:", "negative"}},
        {{"display", "show", kFaulty + "wavelengths_out_of_order.yaml"},
         {"wavelengths_out_of_order.yaml:", "wavelength"}},
        {{"display", "show", kFaulty + "tone_not_rising.yaml"}, {"tone_not_rising.yaml:", "tone"}},
        {{"protocol", "check", "precision_one_screen", "--calibration", kDemoLcd, "--calibration", kDemoLcd},
         {"each has its file already", "SOURCE=FILE"}},
        {{"session", "run", "demo", "--participant", "P01", "--headless", "--window", "0x0"},
         {"'0x0' is not a size"}},
        {{"protocol", "check", "no_such_protocol"}, {"no_such_protocol", "precision_one_screen"}},
        {{"session", "run", "demo", "--participant", "Ann Smith", "--headless"},
         {"'Ann Smith'", "identifies a person"}},
        {{"session", "run", "demo", "--participant", "P01", "--calibration", "screen9=x.yaml", "--headless"},
         {"screen9"}},
        {{"session", "run", "demo", "--participant", "P01", "--window", "large"},
         {"'large' is not a size", "1024x768"}},
        {{"results", "check", folder.file("nothing")}, {"nothing"}},
    };
    for (const Case& c : cases) {
        const ProgramResult result = run_isoseam(c.words);
        INFO(result.err);
        CHECK(result.status == 2);
        for (const std::string& words : c.said)
            CHECK_THAT(result.err, Catch::Contains(words));
    }
}

TEST_CASE("a rig without a calibration says which source wants one") {
    const TemporaryFolder folder;
    std::string protocol = file_bytes(ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml");
    protocol = replaced(protocol, "screen: ../../calibration/demo/demo_lcd.yaml", "screen: ");
    write_file(folder.file("bare.yaml"), protocol);
    const ProgramResult result =
        run_isoseam({"session", "run", folder.file("bare.yaml"), "--participant", "P01", "--headless"});
    CHECK(result.status == 2);
    CHECK_THAT(result.err, Catch::Contains("screen") && Catch::Contains("--calibration"));
    CHECK(run_isoseam({"protocol", "check", folder.file("bare.yaml"), "--calibration", kDemoLcd}).status ==
          0);
}

TEST_CASE("an expired calibration stops a session before it starts, with a way out") {
    const TemporaryFolder folder;
    write_file(folder.file("old.yaml"),
               replaced(file_bytes(kDemoLcd), "valid_until: 2099-12-31", "valid_until: 2026-11-21"));
    const std::vector<std::string> words = {
        "session",       "run", "precision_one_screen", "--calibration", folder.file("old.yaml"),
        "--participant", "P01", "--headless",           "--out",         folder.path()};
    const ProgramResult result = run_isoseam(words);
    CHECK(result.status == 2);
    CHECK_THAT(result.err, Catch::Contains("expired on 2026-11-21") && Catch::Contains("--despite expired"));
}

TEST_CASE("no screen ends with 3 and says what to do") {
    const TemporaryFolder folder;
    ProgramOptions options;
    options.unset = {"DISPLAY", "WAYLAND_DISPLAY"};
    options.environment = {{"SDL_VIDEODRIVER", "x11"}};
    const ProgramResult result =
        run_isoseam({"session", "run", "demo", "--participant", "P01", "--out", folder.path()}, options);
    CHECK(result.status == 3);
    CHECK_THAT(result.err, Catch::Contains("no screen") && Catch::Contains("--headless"));
    CHECK(std::filesystem::is_empty(folder.path()));  // nothing was begun
}

TEST_CASE("a folder that cannot be written ends with 3 and names it") {
    const TemporaryFolder folder;
    write_file(folder.file("taken"), "a file where the sessions' folder should be");
    const ProgramResult result =
        run_isoseam({"session", "rehearse", "demo", "--out", folder.file("taken") + "/sessions"});
    CHECK(result.status == 3);
    CHECK_THAT(result.err, Catch::Contains("taken"));
}

TEST_CASE("a full disk ends with 3 before anything is begun") {
    // A file system of 1 MB of its own, where the system lets a user have one.
    if (run_program({"unshare", "-rm", "true"}).status != 0) {
        WARN("no user namespaces here: not tried");
        return;
    }
    const TemporaryFolder folder;
    const std::string script = "mount -t tmpfs -o size=1m tmpfs " + folder.path() +
                               " && exec " ISOSEAM_BINARY_DIR "/runner/isoseam session rehearse demo --out " +
                               folder.path() + "/sessions";
    const ProgramResult result = run_program({"unshare", "-rm", "sh", "-c", script});
    CHECK(result.status == 3);
    CHECK_THAT(result.err, Catch::Contains("has 1 MB free") && Catch::Contains("--out"));
}

TEST_CASE(
    "protocol check tells what matches on one screen cannot show, and names a light out of gamut at its "
    "line") {
    const ProgramResult good = run_isoseam({"protocol", "check", "precision_one_screen", "--json"});
    REQUIRE(good.status == 0);
    const nlohmann::json report = nlohmann::json::parse(good.out);
    CHECK(report["halves_share_primaries"].get<bool>());
    CHECK(report["settings"] == 30);
    CHECK_THAT(report["cautions"].dump(), Catch::Contains("never") && Catch::Contains("same primaries"));
    CHECK_FALSE(isoseam_json({"protocol", "check", "metamer_two_sources", "--json"})["halves_share_primaries"]
                    .get<bool>());

    const TemporaryFolder folder;
    std::string protocol = file_bytes(ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml");
    protocol = replaced(protocol, "grey: xyY 0.31 0.33 at 30 cd/m2", "grey: xyY 0.31 0.33 at 300 cd/m2");
    protocol = replaced(protocol, "../../calibration/demo/demo_lcd.yaml", kDemoLcd);
    write_file(folder.file("bright.yaml"), protocol);
    const ProgramResult bad = run_isoseam({"protocol", "check", folder.file("bright.yaml")});
    CHECK(bad.status == 1);
    CHECK_THAT(bad.err,
               Catch::Contains("bright.yaml:") && Catch::Contains("grey") && Catch::Contains("gamut"));
}

TEST_CASE("every command explains itself") {
    const std::map<std::string, std::string> words = {
        {"observer", "--density-l"}, {"light", "monochromatic 589 nm"}, {"display", "show"},
        {"protocol", "check"},       {"session", "rehearse"},           {"results", "table"},
        {"analyse", "thresholds"}};
    for (const auto& [command, word] : words) {
        const ProgramResult result = run_isoseam({command, "--help"});
        CHECK(result.status == 0);
        CHECK_THAT(result.out, Catch::Contains(word));
    }
}
