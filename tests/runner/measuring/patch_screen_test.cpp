#include "runner/measuring/patch_screen.h"

#include <catch2/catch.hpp>

using namespace isoseam;

namespace {

CodePatch patch_at(const PatchPlace& place, int width_px = 1000, int height_px = 500) {
    ShownPatch shown;
    shown.drive.fractions = Eigen::Vector3d(1.0, 128.0 / 255.0, 0.0);
    shown.place = place;
    return code_patch(shown, width_px, height_px, 8);
}

}  // namespace

TEST_CASE("a patch falls on whole pixels, in the exact codes") {
    const CodePatch patch = patch_at({0.5, 0.5, 0.32, 0.32});
    CHECK(patch.left_px == 340);
    CHECK(patch.width_px == 320);
    CHECK(patch.top_px == 170);
    CHECK(patch.height_px == 160);
    CHECK(patch.code == std::array<std::uint16_t, 3>{255, 128, 0});
    CHECK(patch.surround_code == std::array<std::uint16_t, 3>{0, 0, 0});
    // A drive of 8 bits is shown as the same share of 10 bits only where a code has it.
    ShownPatch shown;
    shown.drive.fractions = Eigen::Vector3d(1.0, 512.0 / 1023.0, 3.0 / 1023.0);
    shown.surround.fractions = Eigen::Vector3d::Constant(1.0);
    const CodePatch of_10_bits = code_patch(shown, 640, 480, 10);
    CHECK(of_10_bits.code == std::array<std::uint16_t, 3>{1023, 512, 3});
    CHECK(of_10_bits.surround_code == std::array<std::uint16_t, 3>{1023, 1023, 1023});
}

TEST_CASE("a patch that fills the screen, or is smaller than a pixel, stays inside it") {
    const CodePatch whole = patch_at({0.5, 0.5, 1.0, 1.0}, 1366, 767);
    CHECK(whole.left_px == 0);
    CHECK(whole.width_px == 1366);
    CHECK(whole.height_px == 767);
    const CodePatch dot = patch_at({1.0, 0.0, 1e-6, 1e-6});
    CHECK(dot.left_px == 999);
    CHECK(dot.width_px == 1);
    CHECK(dot.top_px == 0);
    CHECK(dot.height_px == 1);
}
