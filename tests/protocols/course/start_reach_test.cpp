// Starting points from which a participant's own steps cannot come to the match are found beforehand.

#include "protocols/course/start_reach.h"

#include <catch2/catch.hpp>

#include "support/error_text.h"
#include "support/protocols/example_protocol.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const FrameDepth kDepth{8, DitherKind::ordered};

// L and M adjusted one by one: what a screen can show is a narrow diagonal strip in their coordinates. From a
// start far along it, steps wider than the strip lead nowhere.
std::string narrow_strip(const std::string& step) {
    const std::string sizes = "{fine: " + step + ", coarse: " + step + ", start: 50 %}\n";
    return example_with({{"  half: right\n", "  half: left\n"},
                         {"  space: cone_contrast\n", "  space: cone_contrast\n  starts: bracketing\n"},
                         {"    L-M: {fine: 0.4 %, coarse: 1.5 %, start: 5 %}\n", ""},
                         {"    L+M: {fine: 2 %, coarse: 6 %, start: 15 %}\n", "    L: " + sizes},
                         {"    S: {fine: 3 %, coarse: 12 %, start: 30 %}\n", "    M: " + sizes}});
}

}  // namespace

TEST_CASE("from every start of an ordinary protocol the match can be reached") {
    const Setup setup = setup_of(kExample);
    CHECK(dead_end_share(setup.adjustment(0, kDepth), {}, 300) == 0.0);
    CHECK(dead_end_share(setup.adjustment(1, kDepth), {}, 300) == 0.0);
    CHECK_NOTHROW(check_starts(setup, kDepth, 5, "P01"));
}

TEST_CASE("starts at the end of a narrow strip are dead ends for wide steps, and are named") {
    const Setup wide = setup_of(narrow_strip("50 %"));
    CHECK_THAT(
        input_error_text([&] { check_starts(wide, kDepth, 5, "P01"); }),
        Catch::Contains("of condition 'grey' starts where no step inside the gamut leads to the match "
                        "(seed 5); choose a smaller start, smaller fine steps, or a reference nearer to "
                        "the middle of the gamut"));
    CHECK(dead_end_share(wide.adjustment(0, kDepth), {.bracketing = true}, 0) >= 0.5);
    const Setup fine = setup_of(narrow_strip("1 %"));
    CHECK_NOTHROW(check_starts(fine, kDepth, 5, "P01"));
}
