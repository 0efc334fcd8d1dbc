#include "stimuli/flicker_safeguards.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace isoseam;

namespace {

using Kind = MissingSafeguard::Kind;

FlickerExposure exposure() {
    FlickerExposure flicker;
    flicker.frequency_hz = 15.0;
    flicker.diameter = Degrees::from_degrees(2.0);
    flicker.duration_s = 20.0;
    flicker.onset_s = 1.0;
    return flicker;
}

FlickerSafeguards everything() {
    FlickerSafeguards provided;
    provided.exclusion_question = true;
    provided.largest_diameter = Degrees::from_degrees(2.0);
    provided.longest_s = 20.0;
    provided.acknowledged = true;
    return provided;
}

std::vector<Kind> missing(const FlickerExposure& flicker, const FlickerSafeguards& provided) {
    std::vector<Kind> kinds;
    for (const MissingSafeguard& item : missing_safeguards(flicker, provided)) {
        CHECK_FALSE(item.found.empty());
        CHECK_FALSE(item.remedy.empty());
        kinds.push_back(item.kind);
    }
    return kinds;
}

}  // namespace

TEST_CASE("a protocol that provides nothing is told all that is missing, one that provides all nothing") {
    FlickerExposure abrupt = exposure();
    abrupt.onset_s = 0.0;
    CHECK(missing(abrupt, {}) == std::vector<Kind>{Kind::exclusion_question, Kind::soft_onset,
                                                   Kind::area_limit, Kind::duration_limit,
                                                   Kind::acknowledgement});
    CHECK(missing(exposure(), everything()).empty());
    abrupt.depth = 0.0;
    CHECK(missing(abrupt, {}).empty());
}

TEST_CASE("each safeguard is asked for on its own, and a limit that is not kept is none") {
    FlickerSafeguards provided = everything();
    provided.exclusion_question = false;
    CHECK(missing(exposure(), provided) == std::vector<Kind>{Kind::exclusion_question});
    provided = everything();
    provided.acknowledged = false;
    CHECK(missing(exposure(), provided) == std::vector<Kind>{Kind::acknowledgement});

    FlickerExposure flicker = exposure();
    flicker.onset_s = 0.49;
    CHECK(missing(flicker, everything()) == std::vector<Kind>{Kind::soft_onset});
    flicker = exposure();
    flicker.diameter = Degrees::from_degrees(2.5);
    CHECK(missing(flicker, everything()) == std::vector<Kind>{Kind::area_limit});
    CHECK(missing_safeguards(flicker, everything()).front().found ==
          "the flickering field of 2.5 deg is larger than the limit of 2 deg");
    flicker = exposure();
    flicker.duration_s = 21.0;
    CHECK(missing(flicker, everything()) == std::vector<Kind>{Kind::duration_limit});
}

TEST_CASE("what is not a number passes no limit") {
    FlickerExposure flicker = exposure();
    flicker.onset_s = std::nan("");
    flicker.diameter = Degrees::from_degrees(std::nan(""));
    flicker.duration_s = std::nan("");
    CHECK(missing(flicker, everything()) ==
          std::vector<Kind>{Kind::soft_onset, Kind::area_limit, Kind::duration_limit});
}
