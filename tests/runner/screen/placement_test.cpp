#include "runner/screen/placement.h"

#include <catch2/catch.hpp>

#include "support/error_text.h"

using namespace isoseam;
using test::input_error_text;

namespace {

Setup demo_setup() {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/demo.yaml");
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

Placement of(const std::string& sources) {
    return parse_placement("isoseam_placement: 1\nsources:\n" + sources, "rig.yaml");
}

}  // namespace

TEST_CASE("a placement reads back as it was written, and says where the field stands") {
    Placement placement;
    placement.sources["lcd"] = {611.5, 402.0, 1280, 800};
    placement.sources["narrow"] = {640.0, 399.5, 1920, 1080};
    const Placement again = parse_placement(placement_text(placement), "rig.yaml");
    REQUIRE(again.sources.size() == 2);
    const PlacedSource lcd = placed(again, "lcd", 1280, 800);
    CHECK(lcd.x_px == 611.5);
    CHECK(lcd.y_px == 402.0);
    CHECK(placed(again, "narrow", 1920, 1080).y_px == 399.5);
    CHECK(placed({}, "lcd", 1280, 800).x_px == 640.0);  // without one: the middle
    CHECK_THAT(
        input_error_text([&] { placed(again, "lcd", 1024, 768); }),
        Catch::Contains("rig.yaml: sources.lcd: was placed on 1280 x 800 pixels, but the screen has 1024 x "
                        "768"));
}

TEST_CASE("a faulty placement gets all its messages") {
    CHECK_THAT(input_error_text([] {
                   of("  lcd: {centre: [1300, 400], screen: [1280, 800]}\n"
                      "  narrow: {centre: [1], screen: [0, 800], size: 3}\n");
               }),
               Catch::Contains("rig.yaml:3:17: sources.lcd.centre: outside the screen") &&
                   Catch::Contains("sources.narrow.screen: no size of a screen") &&
                   Catch::Contains("sources.narrow.centre: 1 numbers") &&
                   Catch::Contains("unknown key 'size'; known here: centre, screen"));
    CHECK_THAT(input_error_text([] { parse_placement("isoseam_placement: 2\n", "rig.yaml"); }),
               Catch::Contains("version '2' of this format"));
}

TEST_CASE("a placement must be of this rig, and sources that share a screen stand at one place") {
    const Setup setup = demo_setup();
    const std::string lcd = "  lcd: {centre: [640, 400], screen: [1280, 800]}\n";
    const std::string narrow = "  narrow: {centre: [641, 400], screen: [1280, 800]}\n";
    const auto told = [&](const std::string& sources, const std::vector<int>& screens) {
        return input_error_text([&] { check_placement(of(sources), setup, screens); });
    };
    CHECK(told(lcd + narrow, {0, 1}) == "no error");
    CHECK_THAT(told(lcd + narrow, {0, 0}),
               Catch::Contains("sources.narrow: stands elsewhere than the other source on screen 0"));
    CHECK_THAT(told(lcd + "  other: {centre: [1, 1], screen: [1280, 800]}\n", {0, 1}),
               Catch::Contains("sources.narrow: has no place in it") &&
                   Catch::Contains("sources.other: the rig has no such source; it has lcd, narrow"));
    CHECK(input_error_text([&] { check_placement({}, setup, {0, 0}); }) == "no error");
}
