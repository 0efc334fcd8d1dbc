// Plain patches for measuring, and what the X server does to them, on virtual screens of 8 and of 10 bits.

#include <fmt/format.h>

#include <catch2/catch.hpp>

#include "base/random.h"
#include "stimuli/gl/presenter.h"
#include "support/screen_settings.h"
#include "support/virtual_screen.h"

using namespace isoseam;

namespace {

constexpr std::uint32_t kStreamPatches = 1002;

PresenterOptions small_window() {
    PresenterOptions options;
    options.full_screen = false;
    options.width_px = 160;
    options.height_px = 120;
    return options;
}

CodePatch random_patch(std::uint64_t index, int bits) {
    const RandomStream random{20261125, kStreamPatches};
    std::uint64_t draw = 32 * index;
    const auto below = [&](int bound) {
        return static_cast<int>(random.below(draw++, static_cast<std::uint64_t>(bound)));
    };
    CodePatch patch;
    patch.left_px = below(160);
    patch.top_px = below(120);
    patch.width_px = 1 + below(160 - patch.left_px);
    patch.height_px = 1 + below(120 - patch.top_px);
    for (auto* codes : {&patch.code, &patch.surround_code}) {
        for (std::uint16_t& code : *codes)
            code = static_cast<std::uint16_t>(below(1 << bits));
    }
    return patch;
}

int wrong_pixels(const CodeImage& image, const CodePatch& patch) {
    int wrong = 0;
    for (int row = 0; row < image.height; ++row) {
        for (int column = 0; column < image.width; ++column) {
            const bool inside = column >= patch.left_px && column < patch.left_px + patch.width_px &&
                                row >= patch.top_px && row < patch.top_px + patch.height_px;
            for (int channel = 0; channel < 3; ++channel) {
                const auto k = static_cast<std::size_t>(channel);
                wrong += image.at(column, row, channel) != (inside ? patch.code[k] : patch.surround_code[k])
                             ? 1
                             : 0;
            }
        }
    }
    return wrong;
}

}  // namespace

TEST_CASE("a plain patch has its exact code in every pixel, and so has all around it") {
    const int bits = GENERATE(8, 10);
    const test::VirtualScreen screen(320, 240, 3 * bits);
    screen.use();
    VideoSystem video;
    Presenter presenter(video, small_window());
    REQUIRE(presenter.info().bits == bits);
    presenter.keep_read_back(true);
    for (std::uint64_t i = 0; i < 200; ++i) {
        const CodePatch patch = random_patch(i, bits);
        presenter.show(patch);
        INFO(fmt::format("patch {}: {} x {} at {}, {}", i, patch.width_px, patch.height_px, patch.left_px,
                         patch.top_px));
        REQUIRE(wrong_pixels(presenter.read_back(), patch) == 0);
    }
    CodePatch outside;
    outside.left_px = 100;
    outside.width_px = 61;
    outside.height_px = 1;
    CHECK_THROWS_AS(presenter.show(outside), std::logic_error);
}

TEST_CASE("a moved window, a colour table and a screen saver are seen") {
    const test::VirtualScreen screen(320, 240, 24);
    screen.use();
    test::ScreenSettings settings(screen.display());
    VideoSystem video;
    Presenter presenter(video, small_window());
    CodePatch patch;
    patch.width_px = patch.height_px = 10;
    presenter.show(patch);
    CHECK(presenter.state().x_px == 80);
    CHECK(presenter.state().y_px == 60);
    CHECK(presenter.state().shown);
    REQUIRE(settings.move_window("Isoseam", 20, 30));
    CHECK(presenter.state().x_px == 20);
    CHECK(presenter.state().y_px == 30);

    // A virtual screen begins with a table of zeros that it does not apply.
    REQUIRE(presenter.colour_tables());
    CHECK(presenter.colour_tables()->changing.empty());
    settings.set_colour_table(1.0);
    CHECK(presenter.colour_tables()->changing.empty());
    settings.set_colour_table(0.9);
    // x^0.9 - x is largest, 3.9 %, at x = 0.9^10.
    CHECK(presenter.colour_tables()->changing ==
          std::vector<std::string>{
              "the graphics card's table changes drives by up to 3.9 % of full on their way to the panel"});

    CHECK(presenter.screen_asleep() == "");
    settings.set_screen_saver(true);
    CHECK(presenter.screen_asleep() == "the screen saver is on");
    settings.set_screen_saver(false);
    CHECK(presenter.screen_asleep() == "");
}

TEST_CASE("a picture of codes is put into the frame buffer as it is, fields before and after it too") {
    const int bits = GENERATE(8, 10);
    const test::VirtualScreen screen(320, 240, bits == 10 ? 30 : 24);
    screen.use();
    VideoSystem video;
    PresenterOptions options = small_window();
    options.wanted_bits = bits;
    Presenter presenter(video, options);
    REQUIRE(presenter.info().bits == bits);
    presenter.keep_read_back(true);
    const RandomStream random{20261126, kStreamPatches};
    CodeImage image{160, 120, bits, std::vector<std::uint16_t>(160 * 120 * 3)};
    for (std::size_t i = 0; i < image.codes.size(); ++i)
        image.codes[i] = static_cast<std::uint16_t>(random.below(i, std::uint64_t{1} << bits));
    for (int again = 0; again < 2; ++again) {
        presenter.show(image);
        CHECK(presenter.read_back().codes == image.codes);
        const CodePatch patch = random_patch(7, bits);
        presenter.show(patch);
        CHECK(wrong_pixels(presenter.read_back(), patch) == 0);
    }
}
