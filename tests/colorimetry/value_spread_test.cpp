#include "colorimetry/value_spread.h"
#include "support/tolerances.h"

#include <catch2/catch.hpp>
#include <stdexcept>

using namespace isoseam;

constexpr double kNinePrintedDigits = 1e-8;

TEST_CASE("the spread of the whole numbers 0 to 100, in any order") {
    std::vector<double> values;
    for (int i = 0; i <= 100; ++i) {
        values.push_back((37 * i) % 101);
    }
    const ValueSpread spread = value_spread(values);
    CHECK(spread.mean == Approx(50.0).epsilon(test::kRoundingOfDoubles));
    CHECK(spread.standard_deviation ==
          Approx(29.3001706).epsilon(kNinePrintedDigits));  // sqrt(101 * 102 / 12)
    CHECK(spread.percentile_5 == Approx(5.0).epsilon(test::kRoundingOfDoubles));
    CHECK(spread.percentile_50 == Approx(50.0).epsilon(test::kRoundingOfDoubles));
    CHECK(spread.percentile_95 == Approx(95.0).epsilon(test::kRoundingOfDoubles));
    const ValueSpread between = value_spread({2.0, 1.0});
    CHECK(between.percentile_5 == Approx(1.05).epsilon(test::kRoundingOfDoubles));
    CHECK(between.percentile_50 == Approx(1.5).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("one value has no spread, and no values have none at all") {
    const ValueSpread one = value_spread({3.0});
    CHECK(one.standard_deviation == 0.0);
    CHECK(one.percentile_95 == 3.0);
    CHECK_THROWS_AS(value_spread({}), std::logic_error);
}
