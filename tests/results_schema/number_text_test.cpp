// Held to {fmt}, which the tables are to look like, and to reading back; digits of the fewest are also what
// std::to_chars gives (ISO C++20, [charconv.to.chars]).
#include <fmt/format.h>

#include <array>
#include <bit>
#include <catch2/catch.hpp>
#include <charconv>
#include <cmath>
#include <limits>
#include <string>

#include "base/random.h"
#include "results_schema/number_text.h"

using namespace isoseam;

namespace {

template <class Number>
std::string written(Number number) {
    std::array<char, kNumberRoom> text;
    text.fill('#');
    return {text.data(), write_number(text.data(), number)};
}

}  // namespace

TEST_CASE("numbers of tables are written as the formatting library writes them") {
    for (const double number : {0.0,
                                -0.0,
                                1.0,
                                -1.0,
                                0.1,
                                0.5,
                                100.0,
                                0.0001,
                                std::nextafter(0.0001, 0.0),
                                std::nextafter(0.0001, 1.0),
                                0.00012345678901234567,
                                0.1 + 0.2,
                                1e15,
                                std::nextafter(1e15, 0.0),
                                std::nextafter(1e15, 1e16),
                                1e16,
                                123456789012345.6,
                                9007199254740993.0,
                                5e-324,
                                1.7976931348623157e308,
                                1e22,
                                123000.0,
                                10.25,
                                std::numeric_limits<double>::infinity(),
                                -std::numeric_limits<double>::infinity()})
        CHECK(written(number) == fmt::format("{}", number));
    const RandomStream random{20261126, 1};
    for (std::uint64_t i = 0; i < 200000; ++i) {
        const double size = std::pow(10.0, -6.0 + 24.0 * random.uniform(3 * i));
        const double rounded = std::pow(10.0, std::floor(17.0 * random.uniform(3 * i + 1)));
        const double number = (i % 2 == 0 ? 1.0 : -1.0) *
                              (i % 3 == 0 ? std::round(random.uniform(3 * i + 2) * rounded) / rounded : size);
        const std::string text = written(number);
        if (text != fmt::format("{}", number))
            FAIL(text << " is not " << fmt::format("{}", number));
        double read = 0.0;
        std::from_chars(text.data(), text.data() + text.size(), read);
        REQUIRE(std::bit_cast<std::uint64_t>(read) == std::bit_cast<std::uint64_t>(number));
    }
    for (const std::int64_t number :
         {std::int64_t{0}, std::int64_t{-1}, std::int64_t{1000000}, std::numeric_limits<std::int64_t>::min()})
        CHECK(written(number) == fmt::format("{}", number));
}
