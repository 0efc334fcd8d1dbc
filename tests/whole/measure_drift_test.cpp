// isoseam display measure --plan drift, from outside: whatever the noise, it answers what it was made for.

#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "isoseam_program.h"
#include "support/temporary_folder.h"

using namespace isoseam::test;
using Catch::Contains;

namespace {

ProgramResult watched(const std::string& screen, int seed, const std::string& duration,
                      const TemporaryFolder& folder) {
    return run_isoseam({"display", "measure", "--yes", "--plan", "drift", "--duration", duration,
                        "--instrument", "simulated", "--simulated", screen, "--seed", std::to_string(seed),
                        "--out", folder.path(), "--json"});
}

}  // namespace

TEST_CASE("measure: a drift plan tells when the screen settles and how steady it stays, whatever the noise") {
    for (const std::string screen : {"additive", "drifting"}) {
        for (int seed = 1; seed <= 8; ++seed) {
            CAPTURE(screen, seed);
            const TemporaryFolder folder;
            const ProgramResult result = watched(screen, seed, "30 min", folder);
            INFO(result.err);
            REQUIRE(result.status == 0);
            const nlohmann::json json = nlohmann::json::parse(result.out);
            CHECK(json["kept"] == 61 + 4 * 5);  // white twice a minute, the rest every ten minutes
            const nlohmann::json found = json["steadiness"];
            // 6 % that fall to 1/e in 5 min: 0.1 % a minute after 12.4 min; a steady screen at once. What
            // noise of 0.2 % a reading leaves is a few minutes.
            const double settled_min = found["settled_after_s"].get<double>() / 60.0;
            CHECK(settled_min >= (screen == "drifting" ? 8.0 : 0.0));
            CHECK(settled_min <= (screen == "drifting" ? 17.0 : 0.0));
            CHECK(found["white_scatter"].get<double>() == Approx(0.002).epsilon(0.5));
            CHECK(found["black"]["readings"] == 4);
            CHECK(found["black"]["mean"].get<double>() == Approx(2.7e-4).epsilon(0.15));
            CHECK_THAT(result.err, Contains("White ") && Contains("settled to 0.1 % a minute"));
        }
    }
}

TEST_CASE("measure: what was measured over time is not fitted, and the refusal says what it is for") {
    const TemporaryFolder folder;
    const ProgramResult result = watched("drifting", 1, "60 min", folder);
    INFO(result.err);
    REQUIRE(result.status == 0);
    const std::string readings = nlohmann::json::parse(result.out)["readings"];
    for (const std::string command : {"fit", "report"}) {
        const ProgramResult refused =
            run_isoseam({"display", command, readings, "--out", folder.file("made")});
        CHECK(refused.status == 2);
        CHECK_THAT(refused.err, Contains("these readings follow the screen over time") &&
                                    Contains("White settled to 0.1 % a minute after ") &&
                                    Contains("fit the readings of 'isoseam display measure --plan full'"));
        CHECK_THAT(refused.err, !Contains("too few"));
        CHECK_FALSE(std::filesystem::exists(folder.file("made")));
    }
}
