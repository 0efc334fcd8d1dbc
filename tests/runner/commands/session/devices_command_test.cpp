#include "runner/commands/session/devices_command.h"

#include <SDL.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <cstdlib>
#include <string>
#include <thread>

#include "support/virtual_screen.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// What a call prints.
template <class Print>
std::string printed(const Print& print) {
    char* text = nullptr;
    std::size_t size = 0;
    std::FILE* memory = open_memstream(&text, &size);
    print(memory);
    std::fclose(memory);
    std::string all(text, size);
    std::free(text);
    return all;
}

}  // namespace

TEST_CASE("attached devices are listed with their numbers, and what is turned is told with its option") {
    const VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    CHECK(printed([&](std::FILE* to) { print_devices(video, to); }) ==
          "No game controller, knob or pedal is attached.\n");
    const int device = SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_THROTTLE, 3, 2, 0);
    REQUIRE(device == 0);
    CHECK_THAT(printed([&](std::FILE* to) { print_devices(video, to); }),
               Catch::StartsWith("device 0: ") && Catch::EndsWith(", 3 axes, 2 buttons\n"));

    SDL_Joystick* joystick = SDL_JoystickOpen(device);
    std::thread hand([&] {
        for (const Sint16 position : {Sint16{200}, Sint16{20000}}) {  // the first is a trembling
            std::this_thread::sleep_for(std::chrono::milliseconds(200));
            SDL_JoystickSetVirtualAxis(joystick, 2, position);
        }
    });
    const std::string told = printed([&](std::FILE* to) { print_movements(video, 1.0, to); });
    hand.join();
    CHECK(told == "device 0, axis 2: 0.61  (--knob 0:2)\n");
    SDL_JoystickClose(joystick);
    SDL_JoystickDetachVirtual(device);
}
