#pragma once
// Shares of the expected value by which a result may differ, with their causes. An Approx without a
// tolerance of its own would take one of Catch2's, which has no cause.
//
//     CHECK(mean == Approx(0.02).epsilon(test::kRoundingOfDoubles));

namespace isoseam::test {

// The same sum in another order, a few hundred operations at most: each rounds by 1e-16, and differences of
// numbers that are alike lose some of the digits.
inline constexpr double kRoundingOfDoubles = 1e-9;

// Figures that are compared to five digits: one side is a search that ends near the best, an integral by
// steps, or a number that is written to a file with as many digits as its reader needs.
inline constexpr double kFiveDigits = 1.2e-5;

}  // namespace isoseam::test
