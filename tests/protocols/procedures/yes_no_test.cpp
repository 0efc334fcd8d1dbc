#include "protocols/procedures/yes_no.h"

#include <catch2/catch.hpp>

using namespace isoseam;

TEST_CASE("yes to a target is right and a success, and yes to nothing is wrong and drives no level") {
    const TrialResponse yes{.kind = TrialResponse::Kind::yes};
    const TrialResponse no{.kind = TrialResponse::Kind::no};
    TrialRequest request;
    CHECK(judge(YesNo{}, request, yes) == Verdict{true, true});
    CHECK(judge(YesNo{}, request, no) == Verdict{false, false});
    request.target = false;
    CHECK(judge(YesNo{}, request, yes) == Verdict{false, std::nullopt});
    CHECK(judge(YesNo{}, request, no) == Verdict{true, std::nullopt});
    CHECK_THROWS_AS(judge(YesNo{}, request, {.kind = TrialResponse::Kind::same}), std::logic_error);
}

TEST_CASE("every trial of yes or no has a target in one place, but for catch trials") {
    CHECK(faults(YesNo{}).empty());
    const Pose posed = pose(YesNo{}, 1, 0);
    CHECK(posed.form == AnswerForm::yes_no);
    CHECK(posed.target);
    CHECK(posed.places == 1);
    CHECK_FALSE(posed.target_place.has_value());
}
