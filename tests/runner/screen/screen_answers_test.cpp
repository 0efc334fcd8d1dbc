// A person's seat at a virtual screen: what is pressed, turned, read and heard there.

#include <SDL.h>

#include <array>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdlib>
#include <memory>
#include <thread>
#include <vector>

#include "runner/screen/screen_station.h"
#include "support/screen_pixels.h"
#include "support/seats/moments.h"
#include "support/seats/screen_seat.h"
#include "support/virtual_screen.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("answers of every form are heard at a field, and what means nothing is counted", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    const auto answer_to = [&](const Expected& moment, const std::string& keys) {
        station.expect(moment);
        station.show_field(some_field());
        send("key " + keys);
        const Action action = awaited(station);
        REQUIRE(std::holds_alternative<Answered>(action));
        return std::get<Answered>(action).response;
    };
    CHECK(answer_to(asking(AnswerForm::yes_no), "Right").kind == TrialResponse::Kind::yes);
    CHECK(answer_to(asking(AnswerForm::same_different), "d").kind == TrialResponse::Kind::different);
    CHECK(answer_to(asking_where({"upper", "lower"}), "Down").value == 1);
    CHECK(answer_to(asking_where({"left", "upper", "lower", "right"}), "w").value == 1);
    CHECK(answer_to(asking_where({"upper left", "upper right", "lower left", "lower right"}), "k").value ==
          3);
    CHECK(answer_to(asking_where({"first", "second"}), "Left").value == 0);
    CHECK(station.take_ignored_presses() == 0);
    CHECK(answer_to(rating(5), "space Left x 6 Shift_L 5").value == 5);
    CHECK(station.take_ignored_presses() == 4);
}

TEST_CASE("an answer within a presentation ends its frames there", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    station.expect(asking_where({"first", "second"}));
    Presentation presentation = endless([&](std::int64_t frame) {
        if (frame == 3)
            send("key space");
        if (frame == 6)
            send("key Right");
        return flicker_lights({}, bright_and_dim(), frame);
    });
    PresentationProgress progress;
    const Action action = station.show_presentation(presentation, progress);
    REQUIRE(std::holds_alternative<Answered>(action));
    CHECK(std::get<Answered>(action).response.value == 1);
    CHECK(progress.next_frame >= 7);
    CHECK(progress.next_frame <= 9);
    CHECK(station.take_ignored_presses() == 1);
}

TEST_CASE("a list is gone through and a number is typed on pages that show it", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    const ScreenPixels pixels;
    const auto shown = [&](const Instruction& page) {
        station.show_page(page);
        return pixels.block(0, 0, 1280, 800);
    };
    Instruction list{"Which?", {}, ""};
    list.choices = {"this", "that"};
    station.expect(choosing(2));
    const auto none_chosen = shown(list);
    send("key Down 2 space");
    CHECK(std::get<Moved>(awaited(station)).by == 1);
    CHECK(std::get<Typed>(awaited(station)).character == '2');
    CHECK(std::holds_alternative<Accepted>(awaited(station)));
    list.chosen = 1;
    CHECK((shown(list) != none_chosen));

    const auto without_box = shown({"How old?", {}, ""});
    station.expect(typing(18.0, 99.0));
    CHECK((shown({"How old?", {}, ""}) != without_box));
    send("key 3 KP_5 period BackSpace minus Return");
    std::string typed;
    Action action = awaited(station);
    for (; std::holds_alternative<Typed>(action); action = awaited(station))
        typed += std::get<Typed>(action).character;
    CHECK(typed == "35.\b");
    CHECK(std::holds_alternative<Accepted>(action));
    CHECK(station.take_ignored_presses() == 1);
}

TEST_CASE("presses before their moment are forgotten and counted, but an escape counts", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    station.expect(adjusting(1));
    send("key Right Left Escape space");
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    station.forget_presses();
    CHECK(station.take_ignored_presses() == 3);
    CHECK(std::holds_alternative<Escaped>(awaited(station)));
    CHECK(std::holds_alternative<NoAction>(station.wait(0.1)));
}

TEST_CASE(
    "in the largest type a long instruction goes on over several screens, and only the last one is "
    "accepted",
    "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenOptions options = on_screen();
    options.text_size = 1.8;
    options.phrases = std::make_shared<const Phrases>(Phrases::read("de"));
    ScreenStation station(setup, video, options);
    const ScreenPixels pixels;
    const std::string paragraph(
        "Take as long as you like, look at the middle of the field, and say when both halves of it look the "
        "same to you. If they never do, set them as alike as you can.");
    std::vector<std::string> paragraphs;
    for (int i = 0; i < 10; ++i)
        paragraphs.push_back(std::to_string(i) + ". " + paragraph);
    station.show_page({"Your task", paragraphs, "foot"});
    std::vector<std::vector<std::array<unsigned, 3>>> seen;
    Action action;
    while (std::holds_alternative<NoAction>(action) && seen.size() < 10) {
        seen.push_back(pixels.block(0, 0, 1280, 800));
        send("key space");
        action = station.wait(0.5);
    }
    CHECK(std::holds_alternative<Accepted>(action));
    CHECK(seen.size() >= 2);
    CHECK(seen.size() < 10);
    for (std::size_t i = 1; i < seen.size(); ++i)
        CHECK((seen[i] != seen[i - 1]));
    CHECK(station.key_hints({}).front().keys == std::vector<std::string>{"Leertaste"});
}

TEST_CASE("a knob steps, and one that is unplugged interrupts until it is back", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    const int device = SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_THROTTLE, 2, 0, 0);
    REQUIRE(device >= 0);
    SDL_Joystick* joystick = SDL_JoystickOpen(device);
    ScreenOptions options = on_screen();
    options.knob = KnobAxis{device, 1};
    ScreenStation station(setup, video, options);
    station.expect(adjusting(2));
    CHECK(std::holds_alternative<NoAction>(station.wait(0.1)));
    SDL_JoystickSetVirtualAxis(joystick, 1, 1000);  // three hundredths of half the travel
    const Action action = awaited(station);
    REQUIRE(std::holds_alternative<StepTaken>(action));
    CHECK(std::get<StepTaken>(action).axis == 0);
    CHECK(std::get<StepTaken>(action).direction == 1);
    SDL_JoystickClose(joystick);
    SDL_JoystickDetachVirtual(device);
    CHECK(std::get<Interrupted>(awaited(station)).reason == "the knob was unplugged");
    REQUIRE(SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_THROTTLE, 2, 0, 0) >= 0);
    CHECK(mended(station));
    SDL_JoystickDetachVirtual(0);
}

TEST_CASE("sounds are made where they are wanted, and without a sound device the session is warned",
          "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenOptions options = on_screen();
    options.sounds = true;
    setenv("SDL_AUDIODRIVER", "dummy", 1);
    {
        ScreenStation station(setup, video, options);
        CHECK(station.sound_warnings().empty());
        for (const Sound sound : {Sound::accepted, Sound::interval, Sound::right, Sound::wrong})
            CHECK_NOTHROW(station.sound(sound));
    }
    setenv("SDL_AUDIODRIVER", "nothing", 1);
    ScreenStation station(setup, video, options);
    REQUIRE(station.sound_warnings().size() == 1);
    CHECK_THAT(station.sound_warnings().front(), Catch::StartsWith("no sound: "));
    CHECK_NOTHROW(station.sound(Sound::accepted));
    unsetenv("SDL_AUDIODRIVER");
}
