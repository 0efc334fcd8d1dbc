#include "protocols/procedures/same_different.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace isoseam;

TEST_CASE("trials alike come in their share, and the target in either place") {
    const SameDifferent question{0.3};
    int same = 0;
    int first_place = 0;
    for (int i = 0; i < 4000; ++i) {
        const Pose posed = pose(question, 9, i);
        CHECK(posed.target == posed.target_place.has_value());
        same += posed.target ? 0 : 1;
        first_place += posed.target_place == 0 ? 1 : 0;
    }
    // SD of the share 29; of the places among 2800 about 26; five SD fail falsely once in a million.
    CHECK(std::abs(same - 1200) < 145);
    CHECK(std::abs(first_place - (4000 - same) / 2) < 133);
}

TEST_CASE("different to a difference is right and a success, and trials alike drive no level") {
    const TrialResponse same{.kind = TrialResponse::Kind::same};
    const TrialResponse different{.kind = TrialResponse::Kind::different};
    TrialRequest request;
    CHECK(judge(SameDifferent{}, request, different) == Verdict{true, true});
    CHECK(judge(SameDifferent{}, request, same) == Verdict{false, false});
    request.target = false;
    CHECK(judge(SameDifferent{}, request, different) == Verdict{false, std::nullopt});
    CHECK(judge(SameDifferent{}, request, same) == Verdict{true, std::nullopt});
    CHECK_THROWS_AS(judge(SameDifferent{}, request, {.kind = TrialResponse::Kind::no}), std::logic_error);
}

TEST_CASE("some trials must be alike, and some not") {
    for (const double share : {0.0, 1.0, std::numeric_limits<double>::quiet_NaN()})
        CHECK(faults(SameDifferent{share}).size() == 1);
    CHECK(to_string(faults(SameDifferent{1.0})[0]) ==
          "same_share: 1 of the trials alike; write a share above 0 and below 1");
}
