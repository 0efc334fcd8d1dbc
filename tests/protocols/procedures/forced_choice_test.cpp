#include "protocols/procedures/forced_choice.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace isoseam;

namespace {

std::vector<int> counts_of_places(const ForcedChoice& question, int first, int trials) {
    std::vector<int> counts(static_cast<std::size_t>(question.places), 0);
    for (int i = first; i < first + trials; ++i)
        ++counts[static_cast<std::size_t>(*pose(question, 5, i).target_place)];
    return counts;
}

TrialResponse chosen(int place) {
    return {.kind = TrialResponse::Kind::place, .value = place};
}

}  // namespace

TEST_CASE("balanced places are used equally often in every block") {
    for (const int places : {2, 4}) {
        const ForcedChoice question{places, true};
        const int block = places * kBalancedTurns;
        for (int i = 0; i < 10; ++i)
            for (const int count : counts_of_places(question, i * block, block))
                CHECK(count == kBalancedTurns);
    }
}

TEST_CASE("drawn places are used equally often in the long run, with any run lengths") {
    const ForcedChoice question{4, false};
    // Of 4000 trials a quarter each; SD 27.4; five SD fail falsely once in a million.
    for (const int count : counts_of_places(question, 0, 4000))
        CHECK(std::abs(count - 1000) < 137);
    int repeated = 0;
    for (int i = 1; i < 4000; ++i)
        repeated += pose(question, 5, i).target_place == pose(question, 5, i - 1).target_place ? 1 : 0;
    CHECK(std::abs(repeated - 1000) < 137);
}

TEST_CASE("the right place is a success, another one a failure, and a catch trial neither") {
    const ForcedChoice question{4, true};
    TrialRequest request;
    request.target_place = 2;
    CHECK(judge(question, request, chosen(2)) == Verdict{true, true});
    CHECK(judge(question, request, chosen(3)) == Verdict{false, false});
    request.target = false;
    request.target_place.reset();
    CHECK(judge(question, request, chosen(0)) == Verdict{});
    CHECK_THROWS_AS(judge(question, request, chosen(4)), std::logic_error);
    CHECK_THROWS_AS(judge(question, request, {.kind = TrialResponse::Kind::yes}), std::logic_error);
}

TEST_CASE("a choice is between at least two places") {
    REQUIRE(faults(ForcedChoice{1, true}).size() == 1);
    CHECK(to_string(faults(ForcedChoice{1, true})[0]) == "places: 1 places; write 2 to 16");
    CHECK(faults(ForcedChoice{16, true}).empty());
}
