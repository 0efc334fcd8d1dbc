#include "results_schema/session_header.h"
#include "results_schema/setting_record.h"

#include <bit>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <random>

#include "base/errors.h"
#include "support/example_session.h"

using namespace isoseam;
using Catch::Matchers::Contains;

TEST_CASE("a participant is a code of 1 to 32 letters, digits, hyphens and underscores") {
    for (const char* code : {"P01", "a", "x_y-Z", "12345678901234567890123456789012"}) {
        CHECK(is_participant_code(code));
    }
    for (const char* name :
         {"", "P 01", "../P01", "Zoë", "a.b", "a/b", "123456789012345678901234567890123"}) {
        CHECK_FALSE(is_participant_code(name));
    }
}

TEST_CASE("records come back from JSON text as they were") {
    const nlohmann::json header = to_json(test::example_rehearsal());
    CHECK(to_json(session_header_from_json(nlohmann::json::parse(header.dump()))) == header);
    CHECK(session_header_from_json(header).seed == 18446744073709551615U);
    const nlohmann::json setting = to_json(test::example_setting(3));
    CHECK(to_json(setting_from_json(nlohmann::json::parse(setting.dump()))) == setting);
}

TEST_CASE("clock and frames come back, and stay away where there are none") {
    const SessionHeader header = session_header_from_json(to_json(test::example_header()));
    CHECK_FALSE(header.screens[0].clock);
    REQUIRE(header.screens[1].clock);
    CHECK(header.screens[1].clock->stamp == "fence");
    CHECK(header.screens[1].clock->period_ms == 16.68);
    CHECK(header.screens[1].clock->synchronised);
    CHECK(header.screens[1].clock->input_interval_ms == 16.7);
    CHECK_FALSE(header.screens[1].clock->latency_ms);
    CHECK(setting_from_json(to_json(test::example_setting(1))).frames->late == 2);
    CHECK_FALSE(setting_from_json(to_json(test::example_setting(2))).frames);
}

TEST_CASE("a clock of another kind, or frames that are not counted, are refused") {
    nlohmann::json header = to_json(test::example_header());
    header["screens"][1]["clock"]["stamp"] = "guess";
    CHECK_THROWS_WITH(session_header_from_json(header), Contains("/screens/1/clock/stamp"));
    nlohmann::json setting = to_json(test::example_setting(1));
    setting["frames"].erase("late");
    CHECK_THROWS_WITH(setting_from_json(setting), Contains("/frames") && Contains("'late'"));
}

TEST_CASE("every finite number comes back to the same bits") {
    std::mt19937_64 random(20261125);
    SettingRecord setting = test::example_setting(1);
    for (int i = 0; i < 2000; ++i) {
        const auto value = std::bit_cast<double>(random());
        if (std::isfinite(value)) {
            setting.start[0] = value;
            const SettingRecord back = setting_from_json(nlohmann::json::parse(to_json(setting).dump()));
            REQUIRE(std::bit_cast<std::uint64_t>(back.start[0]) == std::bit_cast<std::uint64_t>(value));
        }
    }
}

TEST_CASE("a number that JSON cannot hold is refused, with its place") {
    SettingRecord setting = test::example_setting(1);
    setting.adjusted.lms[2] = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_WITH(to_json(setting), Contains("/adjusted/lms/2 = nan"));
    SessionHeader header = test::example_header();
    header.screens[1].refresh_hz = std::numeric_limits<double>::infinity();
    CHECK_THROWS_WITH(to_json(header), Contains("/screens/1/refresh_hz = inf"));
}

TEST_CASE("JSON that is not a record is refused, with the JSON pointer") {
    nlohmann::json setting = to_json(test::example_setting(1));
    setting["trial"] = 0;
    setting["adjusted"]["code"][1] = -1;
    try {
        setting_from_json(setting);
        FAIL("accepted");
    } catch (const InputError& error) {
        INFO(error.what());
        REQUIRE(error.faults().size() == 2);
        CHECK_THAT(error.what(), Contains("/trial") && Contains("Found: 0"));
        CHECK_THAT(error.what(), Contains("/adjusted/code/1") && Contains("Found: -1"));
    }
    nlohmann::json header = to_json(test::example_header());
    header["sources"][0].erase("bits");
    CHECK_THROWS_WITH(session_header_from_json(header), Contains("/sources/0") && Contains("'bits'"));
}
