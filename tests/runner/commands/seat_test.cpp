#include "runner/commands/seat.h"

#include <CLI/CLI.hpp>
#include <catch2/catch.hpp>

#include "runner/commands/command_words.h"
#include "support/error_text.h"
#include "support/seats/flicker_run.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("words of the seat that are wrong are all told before a window opens") {
    const Setup setup = one_screen_setup();
    SeatOptions seat;
    CHECK_NOTHROW(check_before_opening(seat, setup));
    seat.keys = "right";
    seat.knob = "1";
    seat.text_size = "big";
    CHECK_THAT(input_error_text([&] { check_before_opening(seat, setup); }),
               Catch::Contains("--keys: 'right' is no set of keys") &&
                   Catch::Contains("--knob: '1' names no axis of a device") &&
                   Catch::Contains("--text-size: 'big' is no size of text"));
}

TEST_CASE("the seat's options are read from the command line, and there are usual ones") {
    SeatOptions seat;
    CLI::App app;
    Command command(app);
    add_seat_options(&command, seat);
    CHECK(seat.keys == "both");
    CHECK(seat.text_size == "normal");
    CHECK_FALSE(seat.sounds);
    const std::vector<const char*> words{"isoseam", "--keys",   "left-hand",   "--knob",
                                         "0:1",     "--sounds", "--text-size", "large"};
    app.parse(static_cast<int>(words.size()), words.data());
    CHECK(seat.keys == "left-hand");
    CHECK(seat.knob == "0:1");
    CHECK(seat.sounds);
    CHECK(seat.text_size == "large");
    // A quiet sound may still startle: the help says what it is like.
    CHECK_THAT(app.help(), Catch::Contains("quiet"));
}
