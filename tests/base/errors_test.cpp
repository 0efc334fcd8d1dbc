#include "base/errors.h"

#include <catch2/catch.hpp>

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
