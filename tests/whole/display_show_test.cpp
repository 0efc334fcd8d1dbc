// isoseam display show and estimate, from outside.

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "isoseam_program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam::test;

namespace {

const std::string kDemoLcd = ISOSEAM_SOURCE_DIR "/calibration/demo/demo_lcd.yaml";

std::vector<std::string> estimate_words(const std::string& out) {
    return {"display",  "estimate", "--panel",        "oled",   "--white", "250 cd/m2", "--width", "1920",
            "--height", "1080",     "--screen-width", "527 mm", "--tone",  "2.2",       "--out",   out};
}

}  // namespace

TEST_CASE("display show gives the keys that scripts know, and what the screen can show") {
    const nlohmann::json shown = isoseam_json({"display", "show", kDemoLcd, "--json"});
    for (const char* key : {"name",
                            "file",
                            "invented",
                            "estimated",
                            "measured_on",
                            "measured_with",
                            "valid_until",
                            "expired",
                            "days_left",
                            "resolution",
                            "refresh_hz",
                            "bits",
                            "pixel_pitch_mm",
                            "primaries",
                            "white_xyY",
                            "black_xyY",
                            "condition_number",
                            "gamut",
                            "grey",
                            "largest_contrast",
                            "step_percent"}) {
        CAPTURE(key);
        CHECK(shown.contains(key));
    }
    CHECK(shown["gamut"]["macleod_boynton"]["primaries"].size() == 3);
    CHECK(shown["gamut"]["uv_prime"]["area"].get<double>() > 0.04);
    CHECK(shown["largest_contrast"].size() == 10);
    CHECK(shown["grey"]["xyY"][2].get<double>() ==
          Approx(0.25 * shown["white_xyY"][2].get<double>()).epsilon(1e-9));
    const nlohmann::json& step = shown["step_percent"];
    // One code of 8 bits moves L and M by 0.3 to 0.9 % (reference figures of an LCD at mid grey; here at a
    // quarter of white's luminance, where codes are wider).
    CHECK(step["8_bits"]["L"].get<double>() > 0.3);
    CHECK(step["8_bits"]["L"].get<double>() < 1.5);
    CHECK(step["8_bits"]["L"].get<double>() / step["10_bits"]["L"].get<double>() == Approx(4.0).margin(0.2));
    CHECK(step["8_bits_dithered"]["L"].get<double>() < step["threshold"]["L"].get<double>());

    const ProgramResult words = run_isoseam({"display", "show", kDemoLcd});
    for (const char* part :
         {"Gamut", "Largest cone contrast", "white's chromaticity at 25 %", "days left", "+ L-M", "- L+M+S",
          "8 bits", "8 bits, dithered", "common practice, no source"}) {
        CAPTURE(part);
        CHECK_THAT(words.out, Catch::Contains(part));
    }
}

TEST_CASE("display show from a named grey, and one outside the gamut is refused with its name") {
    const nlohmann::json shown =
        isoseam_json({"display", "show", kDemoLcd, "--grey", "xyY 0.31 0.33 at 30 cd/m2", "--json"});
    CHECK(shown["grey"]["light"] == "xyY 0.31 0.33 at 30 cd/m2");
    CHECK(shown["grey"]["xyY"][0].get<double>() == Approx(0.31).margin(1e-9));
    CHECK(shown["grey"]["xyY"][2].get<double>() == Approx(30.0).margin(1e-6));
    // Down, the black of the screen is the end.
    const double down = shown["largest_contrast"][7]["contrast_percent"][0].get<double>();
    CHECK(shown["largest_contrast"][7]["direction"] == "L+M+S");
    CHECK(down < -95.0);
    CHECK(down > -100.0);
    const ProgramResult outside =
        run_isoseam({"display", "show", kDemoLcd, "--grey", "xyY 0.31 0.33 at 900 cd/m2"});
    CHECK(outside.status == 2);
    CHECK_THAT(outside.err, Catch::Contains("--grey: xyY 0.31 0.33 at 900 cd/m2 is outside the gamut"));
    CHECK(run_isoseam({"display", "show", kDemoLcd, "--grey", "greyish"}).status == 2);
}

TEST_CASE("display show draws the gamut") {
    const TemporaryFolder folder;
    REQUIRE(run_isoseam({"display", "show", kDemoLcd, "--picture", folder.file("gamut.svg")}).status == 0);
    const std::string picture = file_bytes(folder.file("gamut.svg"));
    CHECK_THAT(picture, Catch::StartsWith("<?xml") && Catch::Contains("invented: not for science"));
    const ProgramResult wrong = run_isoseam({"display", "show", kDemoLcd, "--picture", folder.file("a.bmp")});
    CHECK(wrong.status == 2);
    CHECK_THAT(wrong.err, Catch::Contains("--picture"));
}

TEST_CASE("an estimated screen says so wherever it goes") {
    const TemporaryFolder folder;
    const std::string file = folder.file("hall.yaml");
    const ProgramResult made = run_isoseam(estimate_words(file));
    INFO(made.err);
    REQUIRE(made.status == 0);
    CHECK_THAT(made.out, Catch::Contains("ESTIMATED, not measured: not for data"));
    CHECK_THAT(file_bytes(file), Catch::Contains("\nestimated: yes\n"));
    const nlohmann::json shown = isoseam_json({"display", "show", file, "--json"});
    CHECK(shown["estimated"] == true);
    CHECK(shown["days_left"].get<int>() >= 179);
    CHECK(shown["black_xyY"].is_null());
    CHECK_THAT(run_isoseam({"display", "show", file}).out, Catch::Contains("ESTIMATED, not measured"));

    const std::vector<std::string> calibration{"--calibration", file};
    const auto with = [&](std::vector<std::string> words) {
        words.insert(words.end(), calibration.begin(), calibration.end());
        return words;
    };
    CHECK_THAT(run_isoseam(with({"protocol", "check", "precision_one_screen"})).out,
               Catch::Contains("is estimated: typical spectra of its kind of panel"));
    const ProgramResult refused = run_isoseam(with({"session", "run", "precision_one_screen", "--participant",
                                                    "P01", "--out", folder.path(), "--headless"}));
    CHECK(refused.status == 2);
    CHECK_THAT(refused.err,
               Catch::Contains("is estimated, not measured") && Catch::Contains("--despite estimated"));
    const ProgramResult rehearsed =
        run_isoseam(with({"session", "rehearse", "precision_one_screen", "--observers", "1", "--seed", "1",
                          "--out", folder.path()}));
    INFO(rehearsed.err);
    REQUIRE(rehearsed.status == 0);
    bool is_marked = false;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder.path())) {
        if (entry.is_regular_file() && entry.path().filename() != "hall.yaml") {
            const std::string text = file_bytes(entry.path());
            is_marked = is_marked || (text.find("\"demo_calibration\":true") != std::string::npos ||
                                      text.find("\"demo_calibration\": true") != std::string::npos);
        }
    }
    CHECK(is_marked);

    // What stands there is not overwritten.
    const std::string before = file_bytes(file);
    const ProgramResult again = run_isoseam(estimate_words(file));
    CHECK(again.status == 2);
    CHECK_THAT(again.err,
               Catch::Contains("exists already; name a new file, or replace this one with --force"));
    CHECK(file_bytes(file) == before);
}

TEST_CASE("display estimate tells all that is wrong at once, and writes nothing") {
    const TemporaryFolder folder;
    std::vector<std::string> words = estimate_words(folder.file("a.yaml"));
    std::replace(words.begin(), words.end(), std::string("oled"), std::string("plasma"));
    std::replace(words.begin(), words.end(), std::string("250 cd/m2"), std::string("250 nits"));
    const ProgramResult wrong = run_isoseam(words);
    CHECK(wrong.status == 2);
    CHECK_THAT(wrong.err, Catch::Contains("--panel: unknown panel 'plasma'") && Catch::Contains("--white") &&
                              Catch::Contains("cd/m2"));
    words = estimate_words(folder.file("a.yaml"));
    std::replace(words.begin(), words.end(), std::string("2.2"), std::string("22"));
    CHECK(run_isoseam(words).status == 2);
    CHECK_FALSE(std::filesystem::exists(folder.file("a.yaml")));
}
