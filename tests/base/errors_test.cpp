#include "base/errors.h"

#include <catch2/catch.hpp>

#include <cmath>

using namespace isoseam;

namespace {

Fault fault_at(const std::string& file, int line, int column, const std::string& key) {
    return {.file = file,
            .line = line,
            .column = column,
            .key = key,
            .found = "unknown source 'scren'",
            .remedy = "write screen"};
}

}  // namespace

TEST_CASE("a fault reads as place, key, what was found and what would do") {
    CHECK(to_string(fault_at("demo.yaml", 12, 5, "rig.left")) ==
          "demo.yaml:12:5: rig.left: unknown source 'scren'; write screen");
    CHECK(to_string(fault_at("demo.yaml", 12, 0, "")) ==
          "demo.yaml:12: unknown source 'scren'; write screen");
    CHECK(to_string(fault_at("demo.yaml", 0, 0, "")) == "demo.yaml: unknown source 'scren'; write screen");
    CHECK(to_string(fault_at("", 3, 4, "")) == "line 3, column 4: unknown source 'scren'; write screen");
    CHECK(to_string(fault_at("", 0, 4, "")) == "column 4: unknown source 'scren'; write screen");
    CHECK(to_string(fault_at("", 0, 0, "rig")) == "rig: unknown source 'scren'; write screen");
    Fault without_remedy = fault_at("", 0, 0, "");
    without_remedy.remedy.clear();
    CHECK(to_string(without_remedy) == "unknown source 'scren'");
}

TEST_CASE("an InputError tells all its faults, one a line, and has at least one") {
    const InputError error({fault_at("a.yaml", 1, 1, ""), fault_at("a.yaml", 2, 1, "")});
    CHECK(error.faults().size() == 2);
    CHECK(
        std::string(error.what()) ==
        "a.yaml:1:1: unknown source 'scren'; write screen\na.yaml:2:1: unknown source 'scren'; write screen");
    CHECK_THROWS_AS(InputError(std::vector<Fault>{}), std::logic_error);
    CHECK(std::string(MachineError("no screen", "connect one").what()) == "no screen; connect one");
}

TEST_CASE("a broken invariant names the expression and the values") {
    const double x = -1.0;
    CHECK_NOTHROW([&] { ISOSEAM_CHECK(x < 0.0, "not evaluated"); }());
    CHECK_THROWS_WITH(
        [&] { ISOSEAM_CHECK(x > 0.0, "x = " + std::to_string(x)); }(),
        Catch::Contains("x > 0.0") && Catch::Contains("x = -1.000000") && Catch::Contains("errors_test.cpp"));
    CHECK_THROWS_WITH([&] { ISOSEAM_CHECK(x > 0.0); }(), Catch::EndsWith("x > 0.0"));
}

TEST_CASE("a comparison that fails names both expressions and both values") {
    const std::vector<int> sizes = {1, 2, 3, 4};
    const double share = 1.5;
    CHECK_THROWS_WITH([&] { ISOSEAM_CHECK_EQ(sizes.size(), 3); }(),
                      Catch::Contains("errors_test.cpp:") &&
                          Catch::EndsWith("broken invariant: sizes.size() == 3: sizes.size() = 4, 3"));
    CHECK_THROWS_WITH([&] { ISOSEAM_CHECK_LT(sizes.back(), sizes.front()); }(),
                      Catch::EndsWith("sizes.back() < sizes.front(): sizes.back() = 4, sizes.front() = 1"));
    CHECK_THROWS_WITH([&] { ISOSEAM_CHECK_LE(share, 0.25); }(),
                      Catch::EndsWith("share <= 0.25: share = 1.5, 0.25"));
    CHECK_THROWS_WITH([&] { ISOSEAM_CHECK_GT(share, 2.5); }(),
                      Catch::EndsWith("share > 2.5: share = 1.5, 2.5"));
    CHECK_THROWS_WITH([&] { ISOSEAM_CHECK_GE(share, 2.5); }(),
                      Catch::EndsWith("share >= 2.5: share = 1.5, 2.5"));
    CHECK_THROWS_WITH([&] { ISOSEAM_CHECK_BETWEEN(share, 0.25, 0.75); }(),
                      Catch::EndsWith("0.25 <= share <= 0.75: share = 1.5, 0.25, 0.75"));
    const std::string ending = "svg";
    CHECK_THROWS_WITH([&] { ISOSEAM_CHECK_EQ(ending, "png"); }(),
                      Catch::EndsWith("ending = \"svg\", \"png\""));
    CHECK_THROWS_AS([&] { ISOSEAM_CHECK_EQ(share, 2.5); }(), std::logic_error);
}

TEST_CASE("a comparison that holds says nothing, and its ends are where its sign puts them") {
    CHECK_NOTHROW([] {
        ISOSEAM_CHECK_EQ(2, 2U);
        ISOSEAM_CHECK_LT(1, 2);
        ISOSEAM_CHECK_LE(2, 2);
        ISOSEAM_CHECK_GT(0.5, 0.25);
        ISOSEAM_CHECK_GE(0.5, 0.5);
        ISOSEAM_CHECK_BETWEEN(0.0, 0.0, 1.0);
        ISOSEAM_CHECK_BETWEEN(1.0, 0.0, 1.0);
    }());
    CHECK_THROWS_AS([] { ISOSEAM_CHECK_LT(2, 2); }(), std::logic_error);
    CHECK_THROWS_AS([] { ISOSEAM_CHECK_GT(2, 2); }(), std::logic_error);
    CHECK_THROWS_AS([] { ISOSEAM_CHECK_BETWEEN(-1, 0, 1); }(), std::logic_error);
    CHECK_THROWS_AS([] { ISOSEAM_CHECK_BETWEEN(2, 0, 1); }(), std::logic_error);
    // The language's own comparison would turn -1 into the largest number without a sign.
    CHECK_NOTHROW([] { ISOSEAM_CHECK_LT(-1, 1U); }());
    CHECK_THROWS_AS([] { ISOSEAM_CHECK_EQ(-1, ~0U); }(), std::logic_error);
}

TEST_CASE("no comparison holds for a NaN") {
    const double nan = std::nan("");
    CHECK_THROWS_AS([&] { ISOSEAM_CHECK_EQ(nan, nan); }(), std::logic_error);
    CHECK_THROWS_AS([&] { ISOSEAM_CHECK_LT(nan, 1.0); }(), std::logic_error);
    CHECK_THROWS_AS([&] { ISOSEAM_CHECK_LE(nan, 1.0); }(), std::logic_error);
    CHECK_THROWS_AS([&] { ISOSEAM_CHECK_GT(nan, 1.0); }(), std::logic_error);
    CHECK_THROWS_AS([&] { ISOSEAM_CHECK_GE(nan, 1.0); }(), std::logic_error);
    CHECK_THROWS_WITH([&] { ISOSEAM_CHECK_BETWEEN(nan, 0.5, 1.5); }(), Catch::Contains("nan, 0.5, 1.5"));
    CHECK_THROWS_AS([&] { ISOSEAM_CHECK_BETWEEN(1.0, nan, 1.5); }(), std::logic_error);
    CHECK_THROWS_AS([&] { ISOSEAM_CHECK_BETWEEN(1.0, 0.5, nan); }(), std::logic_error);
}

TEST_CASE("a comparison evaluates each of its arguments once") {
    int evaluated = 0;
    const auto counted = [&](int value) {
        ++evaluated;
        return value;
    };
    ISOSEAM_CHECK_EQ(counted(1), counted(1));
    CHECK(evaluated == 2);
    ISOSEAM_CHECK_BETWEEN(counted(1), counted(0), counted(2));
    CHECK(evaluated == 5);
    CHECK_THROWS([&] { ISOSEAM_CHECK_LT(counted(2), counted(1)); }());
    CHECK(evaluated == 7);
}

TEST_CASE("the nearest word is one that may have been meant") {
    const std::vector<std::string> words = {"screen", "projector", "grey", "white", "L"};
    CHECK(nearest_word("scren", words) == "screen");
    CHECK(nearest_word("sceren", words) == "screen");  // neighbours swapped
    CHECK(nearest_word("Grey", words) == "grey");
    CHECK(nearest_word("gray", words) == "grey");
    CHECK(nearest_word("projektor", words) == "projector");
    CHECK(nearest_word("lamp", words).empty());
    CHECK(nearest_word("M", words).empty());  // as wrong as a word of one letter can be
    CHECK(nearest_word("", words).empty());
    CHECK(nearest_word("grey", {}).empty());
}
