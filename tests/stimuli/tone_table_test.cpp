#include "stimuli/tone_table.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "base/random.h"
#include "stimuli/field_mask.h"
#include "support/random_picture.h"

using namespace isoseam;

namespace {

constexpr double kFullLight = static_cast<double>(kFullLightUnits) * FieldMask::kFull;

double as_number(const ToneLevel& level) {
    return level.code + static_cast<double>(level.share) / kWholeShare;
}

}  // namespace

TEST_CASE("the tone table is the light of each code") {
    const DisplayModel display = test::invented_display();
    const ToneTable tone = tone_table(display);
    for (const int bits : {8, 10}) {
        const double full = (1 << bits) - 1;
        for (const ToneTable::LightOfCode& lights : tone.light_of_code(bits)) {
            REQUIRE(lights.size() == static_cast<std::size_t>(1 << bits));
            for (std::size_t code = 0; code < lights.size(); ++code) {
                const double exact = std::pow(static_cast<double>(code) / full, 2.2);
                REQUIRE(std::abs(static_cast<double>(lights[code]) / kFullLight - exact) <= 1e-14);
            }
        }
    }
    CHECK_THROWS_WITH(tone_table(test::invented_display({620.0, 560.0, 510.0, 450.0})),
                      Catch::Contains("display.primary_count() = 4"));
}

TEST_CASE("a table holds the codes of frame buffers of 8 and of 10 bits, and of no others") {
    const ToneTable tone = tone_table(test::invented_display());
    for (const int bits : {0, 9, 12})
        CHECK_THROWS_WITH(tone.light_of_code(bits), Catch::Contains("bits = " + std::to_string(bits)));
}

TEST_CASE("the lights of a table rise, however steep the tone response is near black") {
    // Exponent 10 is the steepest that a calibration may hold: the light of the first code is 1e-30.
    const ToneTable tone = tone_table(test::invented_display({620.0, 535.0, 455.0}, 10.0));
    const ToneTable::LightOfCode& lights = tone.light_of_code(10)[0];
    for (std::size_t code = 1; code < lights.size(); ++code)
        REQUIRE(lights[code] > lights[code - 1]);
    CHECK(level_of(lights, 0) == ToneLevel{0, 0});
}

TEST_CASE("a light is put between its codes by its share of the way in linear light") {
    const RandomStream random{3, 1005};
    double worst = 0.0;
    for (const ToneTable& tone : test::example_tones()) {
        for (const int bits : {8, 10}) {
            const ToneTable::LightOfCode& lights = tone.light_of_code(bits)[1];
            const auto last = static_cast<std::uint32_t>(lights.size() - 1);
            // The light of a code itself needs no dither; that of the last is all of the last step.
            for (std::uint32_t code = 0; code < last; ++code)
                REQUIRE(level_of(lights, lights[code]) == ToneLevel{code, 0});
            REQUIRE(level_of(lights, lights[last]) == ToneLevel{last - 1, kWholeShare});
            for (std::uint64_t i = 0; i < 2000; ++i) {
                const std::uint64_t light =
                    light_units(std::pow(random.uniform(2 * i), 3.0)) * FieldMask::kFull;
                const ToneLevel level = level_of(lights, light);
                REQUIRE(level.code < last);
                const auto lower = static_cast<long double>(lights[level.code]);
                const auto upper = static_cast<long double>(lights[level.code + 1]);
                const auto share = (static_cast<long double>(light) - lower) / (upper - lower);
                const double off = level.share - static_cast<double>(share) * kWholeShare;
                worst = std::max(worst, std::abs(off));
                // Rounded down, by less than one unit.
                REQUIRE((off <= 1e-9 && off > -1.0));
            }
        }
    }
    CHECK(worst > 0.9);
}

TEST_CASE("more light is never a lower level") {
    const ToneTable::LightOfCode& lights = test::example_tones()[3].light_of_code(8)[2];
    double previous = 0.0;
    for (int i = 0; i <= 100'000; ++i) {
        const double level = as_number(level_of(lights, light_units(i / 100'000.0) * FieldMask::kFull));
        REQUIRE(level >= previous);
        previous = level;
    }
    CHECK(previous == 255.0);
}

TEST_CASE("no light outside of the screen's range is put anywhere") {
    CHECK(light_units(0.0) == 0);
    CHECK(light_units(1.0) == kFullLightUnits);
    CHECK_THROWS_WITH(light_units(1.0 + 1e-15), Catch::Contains("linear = 1.00000"));
    CHECK_THROWS_WITH(light_units(-1e-300), Catch::Contains("linear = -1e-300"));
    CHECK_THROWS_WITH(light_units(std::nan("")), Catch::Contains("linear = nan"));
}
