// isoseam lecture check | show | preview | schema | list, from outside.

#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "isoseam_program.h"
#include "support/temporary_folder.h"

using namespace isoseam::test;

namespace {

const std::string kFaulty = ISOSEAM_SOURCE_DIR "/tests/protocols/lectures/faulty/";
const std::string kNarrowBand = ISOSEAM_SOURCE_DIR "/calibration/demo/demo_narrow_band.yaml";

nlohmann::json json_of(std::vector<std::string> words) {
    words.emplace_back("--json");
    const ProgramResult result = run_isoseam(words);
    INFO(result.err);
    REQUIRE(result.status == 0);
    return nlohmann::json::parse(result.out);
}

}  // namespace

TEST_CASE("lecture check tells each scene's margin, and what a lecturer should know") {
    const nlohmann::json report = json_of({"lecture", "check", "one_light_or_two"});
    CHECK(report["faults"].empty());
    CHECK(report["languages"] == nlohmann::json{"en", "de"});
    CHECK(report["scenes"].size() == 9);
    CHECK(report["scenes"][0]["gamut_margin"].is_null());
    CHECK(report["scenes"][3]["kind"] == "steer");
    CHECK(report["scenes"][3]["gamut_margin"].get<double>() > 0.0);
    CHECK(report["cautions"].dump().find("diagnoses nothing") != std::string::npos);
}

TEST_CASE("lecture check ends with 2 for a bad file, and with 1 for lights that the screen cannot show") {
    const ProgramResult bad = run_isoseam({"lecture", "check", kFaulty + "questions.yaml"});
    CHECK(bad.status == 2);
    CHECK_THAT(bad.err, Catch::Contains("scenes[1].question.choices: 1 choice(s); write 2 to 6"));
    const ProgramResult unseen = run_isoseam({"lecture", "check", kFaulty + "out_of_gamut.yaml"});
    CHECK(unseen.status == 1);
    CHECK_THAT(unseen.err, Catch::Contains("up to 118 cd/m2 would fit"));
    const ProgramResult none = run_isoseam({"lecture", "check", "nowhere"});
    CHECK(none.status == 2);
    CHECK_THAT(none.err, Catch::Contains("no ready lecture of that name") && Catch::Contains("one_receptor"));
}

TEST_CASE("a lecture is shown on another screen and in another of its languages") {
    const nlohmann::json usual = json_of({"lecture", "show", "one_receptor"});
    const nlohmann::json other =
        json_of({"lecture", "show", "one_receptor", "--calibration", kNarrowBand, "--language", "de"});
    CHECK(usual["scenes"].size() == other["scenes"].size());
    CHECK(usual["title"] == "What one receptor can tell");
    CHECK(other["title"] == "Was ein einzelner Rezeptor melden kann");
    CHECK(usual["scenes"][3]["drive_linear"] != other["scenes"][3]["drive_linear"]);
    CHECK(usual["scenes"][5]["reveal"]["lights"][0]["light"] == "amber");
    const ProgramResult unknown = run_isoseam({"lecture", "show", "one_receptor", "--language", "fr"});
    CHECK(unknown.status == 2);
    CHECK_THAT(unknown.err, Catch::Contains("the lecture is not in 'fr'; name one of: en, de"));
}

TEST_CASE("a scene's field is drawn, with the sliders where one wants them") {
    const TemporaryFolder folder;
    const std::string picture = folder.file("field.png");
    const std::vector<std::string> words{"lecture", "preview",        "one_light_or_two",
                                         "--scene", "find_the_match", "--out",
                                         picture,   "--slider",       "0.4"};
    std::vector<std::string> both = words;
    both.insert(both.end(), {"--slider", "0.5"});
    CHECK(run_isoseam(both).status == 0);
    CHECK(std::filesystem::file_size(picture) > 1000);
    const ProgramResult one = run_isoseam(words);
    CHECK(one.status == 2);
    CHECK_THAT(one.err, Catch::Contains("give it 2 time(s), each from 0 to 1"));
    both.back() = "1.5";
    CHECK(run_isoseam(both).status == 2);
}

TEST_CASE("the schema of lectures is JSON, and the ready lectures are listed") {
    CHECK(nlohmann::json::parse(run_isoseam({"lecture", "schema"}).out)["title"] == "A lecture of Isoseam");
    CHECK(json_of({"lecture", "list"})["lectures"].size() == 6);
}
