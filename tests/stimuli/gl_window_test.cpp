// Windows on machines that lack something which they need.

#include "stimuli/gl/gl_window.h"

#include <catch2/catch.hpp>
#include <cstdlib>

#include "base/errors.h"
#include "support/virtual_screen.h"

using namespace isoseam;

namespace {

PresenterOptions in_a_window() {
    PresenterOptions options;
    options.full_screen = false;
    options.width_px = 320;
    options.height_px = 240;
    return options;
}

}  // namespace

TEST_CASE("what a machine lacks is said with a way out") {
    SECTION("no X server") {
        ::setenv("SDL_VIDEODRIVER", "x11", 1);
        ::setenv("DISPLAY", ":54321", 1);
        CHECK_THROWS_WITH(VideoSystem(),
                          Catch::StartsWith("no screen: ") &&
                              Catch::EndsWith("start in a graphical session, or run with --headless"));
    }
    SECTION("nothing at all") {
        ::unsetenv("SDL_VIDEODRIVER");
        ::unsetenv("DISPLAY");
        ::unsetenv("WAYLAND_DISPLAY");
        CHECK_THROWS_AS(VideoSystem(), MachineError);
        CHECK_THROWS_WITH(VideoSystem(), Catch::StartsWith("no screen: "));
    }
    SECTION("a driver without OpenGL 3.3") {
        const test::VirtualScreen screen(400, 300, 24);
        screen.use();
        ::setenv("MESA_GL_VERSION_OVERRIDE", "2.1", 1);
        VideoSystem video;
        CHECK_THROWS_WITH(Presenter(video, in_a_window()),
                          Catch::StartsWith("no OpenGL 3.3 core on screen 0: ") &&
                              Catch::Contains("install a graphics driver that offers OpenGL 3.3 core"));
        ::unsetenv("MESA_GL_VERSION_OVERRIDE");
    }
    SECTION("no such screen") {
        const test::VirtualScreen screen(400, 300, 24);
        screen.use();
        VideoSystem video;
        PresenterOptions options = in_a_window();
        options.screen = 3;
        CHECK_THROWS_WITH(Presenter(video, options),
                          "no screen 3: this machine has one screen, number 0; name one of "
                          "these with --screen");
    }
}
