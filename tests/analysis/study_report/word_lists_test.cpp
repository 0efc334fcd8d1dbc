#include "analysis/study_report/word_lists.h"

#include <catch2/catch.hpp>

#include "analysis/study_report/study_evidence.h"

using namespace isoseam;

TEST_CASE("counts have their singular, and lists their and") {
    CHECK(counted(0, "setting") == "0 settings");
    CHECK(counted(1, "setting") == "1 setting");
    CHECK(counted(2, "session was", "sessions were") == "2 sessions were");
    CHECK(listed({}).empty());
    CHECK(listed({"a"}) == "a");
    CHECK(listed({"a", "b"}) == "a and b");
    CHECK(listed({"a", "b", "c"}) == "a, b and c");
}

TEST_CASE("folders are called by what tells their paths apart, wherever they lie") {
    using Paths = std::vector<std::string>;
    CHECK(short_paths({}).empty());
    CHECK(short_paths({"x/y/P01-1/"}) == Paths{"P01-1"});
    CHECK(short_paths({"x/y/P01-1", "x/y/P02-1"}) == Paths{"P01-1", "P02-1"});
    CHECK(short_paths({"/a/b/match/P01", "/a/b/flicker/P01"}) == Paths{"match/P01", "flicker/P01"});
    CHECK(short_paths({"b/match/P01", "b/./match/../flicker/P01"}) == Paths{"match/P01", "flicker/P01"});
    CHECK(short_paths({"P01", "more/P02"}) == Paths{"P01", "more/P02"});
    CHECK(short_paths({"x/P01", "x/P01"}) == Paths{"P01", "P01"});
}
