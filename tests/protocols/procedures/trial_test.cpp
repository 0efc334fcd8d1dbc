#include "protocols/procedures/trial.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <set>

#include "support/error_text.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("every run of a session has a seed of its own, the same each time") {
    std::set<std::uint64_t> seeds;
    for (std::uint64_t session = 0; session < 20; ++session)
        for (int run = 0; run < 50; ++run)
            seeds.insert(run_seed(session, run));
    CHECK(seeds.size() == 1000);
    CHECK(run_seed(12, 3) == run_seed(12, 3));
    CHECK_THROWS_AS(run_seed(12, -1), std::logic_error);
}

TEST_CASE("a level is one to three finite numbers") {
    CHECK(is_level({0.0}));
    CHECK(is_level({0.0, -1.0, 2.0}));
    CHECK_FALSE(is_level({}));
    CHECK_FALSE(is_level({1.0, 2.0, 3.0, 4.0}));
    CHECK_FALSE(is_level({1.0, std::numeric_limits<double>::quiet_NaN()}));
}

TEST_CASE("faults are collected, parts below their key, and NaN meets no requirement") {
    SpecFaults part;
    part.require(std::nan("") > 0.0, "step", "nan is no step", "write a number");
    part.require(true, "start", "never told", "");
    SpecFaults whole;
    whole.add_below("staircase", part.all());
    CHECK(input_error_text([&] { throw_if_any(whole.all()); }) ==
          "staircase.step: nan is no step; write a number");
    CHECK_NOTHROW(throw_if_any({}));
}
