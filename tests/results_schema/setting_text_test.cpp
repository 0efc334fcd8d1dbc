// A setting as text against the JSON library's own words for it.
#include <bit>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "base/random.h"
#include "results_schema/setting_record.h"
#include "support/example_session.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::vector<std::string> names_of(const nlohmann::ordered_json& json) {
    std::vector<std::string> names;
    for (const auto& [name, value] : json.items())
        names.push_back(name);
    return names;
}

// The same names in the same order, and the same values, whole numbers and fractions told apart.
void check_text(const SettingRecord& setting) {
    const std::string text = json_text(setting);
    CHECK(text.find('\n') == std::string::npos);
    const nlohmann::json expected = to_json(setting);
    const nlohmann::json read = nlohmann::json::parse(text);
    CHECK(read == expected);
    CHECK(read.dump() == expected.dump());
    CHECK(names_of(nlohmann::ordered_json::parse(text)) ==
          names_of(nlohmann::ordered_json::parse(expected.dump())));
    CHECK(to_json(setting_from_json(read)) == expected);
}

}  // namespace

TEST_CASE("a setting's text says what its JSON says") {
    SettingRecord setting = example_setting(3);
    check_text(setting);
    setting.frames = {.shown = 1200, .late = 2, .dropped = 3};
    setting.ignored_presses = 4;
    check_text(setting);
    setting.condition = "grün \"quoted\" \\ \n\t\x01";
    setting.axes = {"L+M", "S"};
    check_text(setting);
}

TEST_CASE("every double survives in a setting's text") {
    const RandomStream stream{4, 900};
    SettingRecord setting = example_setting(3);
    for (std::uint64_t i = 0; i < 3000; ++i) {
        for (std::size_t cone = 0; cone < 3; ++cone) {
            const double drawn = std::bit_cast<double>(stream.bits(3 * i + cone));
            setting.target_lms[cone] = std::isfinite(drawn) ? drawn : 0.5;
        }
        REQUIRE(nlohmann::json::parse(json_text(setting))["target_lms"] == setting.target_lms);
    }
    for (const double number : {0.0, -0.0, 1.0, 1e15, 1e16, 1e300, -5e-324, 123456.0}) {
        setting.target_lms.fill(number);
        const nlohmann::json read = nlohmann::json::parse(json_text(setting))["target_lms"][0];
        CHECK(read.is_number_float());
        CHECK(std::signbit(read.get<double>()) == std::signbit(number));
        CHECK(read.get<double>() == number);
    }
}

TEST_CASE("a number that is not finite never becomes text") {
    SettingRecord setting = example_setting(3);
    setting.duration_s = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_WITH(json_text(setting), Catch::Contains("not finite"));
    setting.duration_s = 1.0;
    setting.reference.lms[1] = std::numeric_limits<double>::infinity();
    CHECK_THROWS_WITH(json_text(setting), Catch::Contains("not finite"));
}
