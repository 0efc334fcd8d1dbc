#include "runner/screen/preflight.h"

#include <catch2/catch.hpp>

#include "support/error_text.h"
#include "support/seats/scripted_station.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

Setup setup_with(const std::function<void(Calibration&)>& change) {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml");
    Calibration calibration = read_calibration(calibration_paths(protocol, {}).front());
    change(calibration);
    calibration.file = "lab_screen.yaml";
    return Setup(std::move(protocol), {calibration});
}

// A station on one screen.
class OnScreen : public ScriptedStation {
  public:
    OnScreen(const Setup& setup, ScreenRecord screen)
        : ScriptedStation(setup, {}), screen_(std::move(screen)) {}
    std::vector<SourceRecord> sources() const override {
        std::vector<SourceRecord> records = ScriptedStation::sources();
        records.front().screen = 0;
        return records;
    }
    std::vector<ScreenRecord> screens() const override { return {screen_}; }

  private:
    ScreenRecord screen_;
};

ScreenRecord as_calibrated() {
    ScreenRecord screen;
    screen.width_px = 1280;
    screen.height_px = 800;
    screen.refresh_hz = 60.0;
    return screen;
}

std::string machine_error(const std::function<void()>& call) {
    try {
        call();
    } catch (const MachineError& error) {
        return error.what();
    }
    return "no error";
}

}  // namespace

TEST_CASE("an expired calibration is refused with its day and a way out, or recorded") {
    const Setup setup = setup_with([](Calibration& c) { c.valid_until = {2026, 5, 31}; });
    const std::string text = input_error_text([&] { check_validity(setup, {2026, 6, 1}, {}); });
    CHECK_THAT(text, Catch::Contains("lab_screen.yaml") &&
                         Catch::Contains("expired on 2026-05-31 (today is 2026-06-01)") &&
                         Catch::Contains("measure the screen again") && Catch::Contains("--despite expired"));
    CHECK(check_validity(setup, {2026, 5, 31}, {}).empty());
    const std::vector<std::string> warnings = check_validity(setup, {2026, 6, 1}, {Despite::expired});
    REQUIRE(warnings.size() == 1);
    CHECK_THAT(warnings.front(), Catch::Contains("expired on 2026-05-31"));
}

TEST_CASE("an estimated calibration is refused in front of a participant, or recorded") {
    const Setup setup = setup_with([](Calibration& c) {
        c.estimated = true;
        c.valid_until = {2026, 5, 31};
    });
    CHECK_THAT(input_error_text([&] {
                   check_validity(setup, {2026, 6, 1}, {Despite::expired});
               }),
               Catch::Contains("lab_screen.yaml: estimated: ") &&
                   Catch::Contains("is estimated, not measured") && Catch::Contains("--despite estimated"));
    CHECK(check_validity(setup, {2026, 6, 1}, {Despite::expired, Despite::estimated}).size() == 2);
}

TEST_CASE("a screen that differs from its calibration is refused, or recorded") {
    const Setup setup = setup_with([](Calibration&) {});
    CHECK(check_screens(setup, OnScreen(setup, as_calibrated()), true, {}).empty());

    ScreenRecord other = as_calibrated();
    other.width_px = 1024;
    CHECK_THAT(machine_error([&] { check_screens(setup, OnScreen(setup, other), true, {}); }),
               Catch::Contains("screen 0 has 1024 x 800 pixels") &&
                   Catch::Contains("calibrated at 1280 x 800") && Catch::Contains("--despite resolution"));
    CHECK(check_screens(setup, OnScreen(setup, other), true, {Despite::resolution}).size() == 1);

    other = as_calibrated();
    other.refresh_hz = 75.0;
    CHECK_THAT(machine_error([&] { check_screens(setup, OnScreen(setup, other), true, {}); }),
               Catch::Contains("runs at 75 Hz") && Catch::Contains("calibrated at 60 Hz") &&
                   Catch::Contains("set the screen to the calibrated refresh rate"));

    other = as_calibrated();
    other.refresh_hz = 59.94;
    CHECK(check_screens(setup, OnScreen(setup, other), true, {}).empty());

    other.refresh_hz = 0.0;
    const std::vector<std::string> warnings = check_screens(setup, OnScreen(setup, other), true, {});
    REQUIRE(warnings.size() == 1);
    CHECK_THAT(warnings.front(), Catch::Contains("does not tell the refresh rate"));
}

TEST_CASE("a window is said to be for trying out") {
    const Setup setup = setup_with([](Calibration&) {});
    ScreenRecord window = as_calibrated();
    window.width_px = 640;
    const std::vector<std::string> warnings = check_screens(setup, OnScreen(setup, window), false, {});
    REQUIRE(warnings.size() == 1);
    CHECK_THAT(warnings.front(), Catch::Contains("for trying out, not for data"));
}

TEST_CASE(
    "a screen whose frames do not wait is refused for timed stimuli, or recorded, and so is what nobody "
    "knows") {
    ScreenRecord screen = as_calibrated();
    screen.clock = ClockRecord{"paced", 16.67, 0.1, false, 16.7, std::nullopt};
    CHECK_THAT(machine_error([&] { check_clocks({screen}, {}); }),
               Catch::Contains("screen 0: frames do not wait for its refresh") &&
                   Catch::Contains("vertical synchronisation") &&
                   Catch::Contains("--despite unsynchronised"));
    const std::vector<std::string> warnings = check_clocks({screen}, {Despite::unsynchronised});
    REQUIRE(warnings.size() == 2);
    CHECK_THAT(warnings[0], Catch::Contains("not exact and may be torn"));
    CHECK_THAT(warnings[1], Catch::Contains("latency is not known") && Catch::Contains("--display-latency"));
    screen.clock->synchronised = true;
    screen.clock->latency_ms = 22.0;
    CHECK(check_clocks({screen}, {}).empty());
    screen.clock.reset();  // never measured
    CHECK_THAT(machine_error([&] { check_clocks({screen}, {}); }),
               Catch::Contains("--despite unsynchronised"));
}

TEST_CASE("too little space is refused with what is free and where") {
    CHECK_THAT(
        machine_error([] { check_space("sessions", 5'000'000); }),
        Catch::Contains("'sessions' has 5 MB free, a session wants 67 MB") && Catch::Contains("--out"));
    CHECK(machine_error([] { check_space("sessions", 500'000'000); }) == "no error");
}

TEST_CASE("a gamepad that is not known is named, with what to do") {
    const std::vector<std::string> warnings = gamepad_warnings({"Strange Box 3000"});
    REQUIRE(warnings.size() == 1);
    CHECK_THAT(warnings.front(), Catch::Contains("'Strange Box 3000'") && Catch::Contains("ignored") &&
                                     Catch::Contains("use the keyboard") &&
                                     Catch::Contains("SDL_GAMECONTROLLERCONFIG"));
}

TEST_CASE("an unknown word after --despite lists those that there are") {
    CHECK_THAT(input_error_text([] { parse_despite("everything"); }),
               Catch::Contains("unknown word 'everything'") &&
                   Catch::Contains("expired, estimated, resolution, refresh, unsynchronised"));
}
