#include "protocols/procedures/rating.h"

#include <catch2/catch.hpp>

using namespace isoseam;

namespace {

TrialResponse rated(int category) {
    return {.kind = TrialResponse::Kind::rating, .value = category};
}

}  // namespace

TEST_CASE("a rating is right or wrong only where the spec says from where on it was seen") {
    TrialRequest request;
    CHECK(judge(Rating{5, std::nullopt}, request, rated(5)) == Verdict{});
    const Rating seen_from_three{5, 3};
    CHECK(judge(seen_from_three, request, rated(3)) == Verdict{true, true});
    CHECK(judge(seen_from_three, request, rated(2)) == Verdict{false, false});
    request.target = false;
    CHECK(judge(seen_from_three, request, rated(1)) == Verdict{true, std::nullopt});
    CHECK(judge(seen_from_three, request, rated(5)) == Verdict{false, std::nullopt});
    CHECK_THROWS_AS(judge(seen_from_three, request, rated(0)), std::logic_error);
    CHECK_THROWS_AS(judge(seen_from_three, request, rated(6)), std::logic_error);
}

TEST_CASE("faults of a rating") {
    CHECK(faults(Rating{2, 2}).empty());
    const std::vector<Fault> found = faults(Rating{1, 3});
    REQUIRE(found.size() == 2);
    CHECK(to_string(found[0]) == "categories: 1 categories; write 2 to 10");
    CHECK(to_string(found[1]) == "seen_from: seen from category 3 of 1; write a category above the first");
}
