// isoseam analyse, on rehearsed sessions.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "isoseam_program.h"
#include "support/temporary_folder.h"

using namespace isoseam::test;
using Catch::Matchers::Contains;

namespace {

std::vector<std::string> rehearsed(const std::string& protocol, const TemporaryFolder& out) {
    REQUIRE(run_isoseam({"session", "rehearse", protocol, "--observers", "2", "--out", out.path()}).status ==
            0);
    std::vector<std::string> folders;
    for (const auto& entry : std::filesystem::directory_iterator(out.path()))
        folders.push_back(entry.path().string());
    return folders;
}

ProgramResult analyse(std::vector<std::string> words, const std::vector<std::string>& folders) {
    words.insert(words.begin(), "analyse");
    words.insert(words.end(), folders.begin(), folders.end());
    return run_isoseam(words);
}

}  // namespace

TEST_CASE("matches are analysed by the nominal eye, and by another one that is asked for") {
    const TemporaryFolder out;
    const std::vector<std::string> folders = rehearsed("metamer_two_sources", out);
    const ProgramResult nominal = analyse({"matches"}, folders);
    CHECK(nominal.status == 0);
    CHECK_THAT(nominal.out, Contains("Between and within participants") && !Contains("ANOTHER EYE"));
    CHECK_THAT(analyse({"matches", "--full"}, folders).out, Contains("u', v' x 1000"));
    const ProgramResult other = analyse({"matches", "--other-eye", "--field", "10", "--age", "60"}, folders);
    CHECK(other.status == 0);
    CHECK_THAT(other.out, Contains("those of CIE 170-1:2006, field 10 deg, age"));
    const nlohmann::json json =
        nlohmann::json::parse(analyse({"matches", "--json", "--other-eye", "--shift-l", "2"}, folders).out);
    CHECK_THAT(json["eye"].get<std::string>(), Contains("2 nm"));
    CHECK(json["series"][0]["components_of_variance"].size() > 0);
    CHECK(json["series"][0]["trends"].size() == 3);
}

TEST_CASE("an eye without --other-eye, and one without three cones, are refused with a remedy") {
    const TemporaryFolder out;
    const std::vector<std::string> folders = rehearsed("precision_one_screen", out);
    const ProgramResult without = analyse({"matches", "--age", "60"}, folders);
    CHECK(without.status == 2);
    CHECK_THAT(without.err, Contains("--age: given without --other-eye; add --other-eye"));
    const ProgramResult two = analyse({"matches", "--other-eye", "--type", "protanope"}, folders);
    CHECK(two.status == 2);
    CHECK_THAT(two.err, Contains("this eye has no L cones; give an eye with three kinds of cone"));
    const ProgramResult twice = analyse({"matches"}, {folders[0], folders[0]});
    CHECK(twice.status == 1);
    CHECK_THAT(twice.out, Contains("it is the same session as"));
}

TEST_CASE("flicker gives each participant's weights of L and M") {
    const TemporaryFolder out;
    const std::vector<std::string> folders = rehearsed("flicker_photometry", out);
    const ProgramResult text = analyse({"flicker"}, folders);
    CHECK(text.status == 0);
    CHECK_THAT(text.out, Contains("Participant simulated-0002") && Contains("share of L in luminance"));
    const nlohmann::json json = nlohmann::json::parse(analyse({"flicker", "--json"}, folders).out);
    REQUIRE(json["series"][0]["weights"].size() == 2);
    for (const nlohmann::json& weights : json["series"][0]["weights"]) {
        const double share = weights["fit"]["share_of_l"];
        CHECK(share > 0.4);
        CHECK(share < 0.95);
    }
}
