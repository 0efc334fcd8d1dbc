#include "stimuli/gl/page_mask.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "colorimetry/errors.h"

using namespace isoseam;

namespace {

// The first and last row, and column, with ink.
struct Extent {
    int top, bottom, left, right;
};

Extent inked(const PageMask& mask, int from_row, int to_row) {
    Extent extent{mask.height, -1, mask.width, -1};
    for (int y = from_row; y < to_row; ++y) {
        for (int x = 0; x < mask.width; ++x) {
            if (mask.ink[static_cast<std::size_t>(y) * static_cast<std::size_t>(mask.width) +
                         static_cast<std::size_t>(x)] > 0)
                extent = {std::min(extent.top, y), std::max(extent.bottom, y), std::min(extent.left, x),
                          std::max(extent.right, x)};
        }
    }
    return extent;
}

Page instruction() {
    Page page;
    page.heading = "Make both halves look alike";
    page.paragraphs = {
        "You will see a disc of two halves. Turn the wheel, or use the arrow keys, until you cannot tell the "
        "halves "
        "apart: größer, меньше, ελάχιστο.",
        "Take as long as you like."};
    page.foot = "Press the space bar to go on";
    return page;
}

}  // namespace

TEST_CASE("a page is set in a centred column with free margins") {
    const PageSetter setter;
    const PageMask mask = setter.set(instruction(), 1280, 800);
    const Extent all = inked(mask, 0, 800);
    CHECK(all.left > 128);
    CHECK(all.right < 1280 - 128);
    CHECK(all.top > 57);
    CHECK(all.bottom < 800 - 20);
    // The foot stands in the middle of the last lines.
    const Extent foot = inked(mask, 720, 800);
    CHECK(std::abs((foot.left + foot.right) / 2 - 640) <= 3);
}

TEST_CASE("the bar is as long as the progress") {
    const PageSetter setter;
    const auto ink_at = [&](double progress) {
        Page page;
        page.progress = progress;
        const PageMask mask = setter.set(page, 800, 600);
        return std::count(mask.ink.begin(), mask.ink.end(), std::uint8_t{235});
    };
    const auto full = ink_at(1.0);
    CHECK(ink_at(0.0) == 0);
    CHECK(full > 1000);
    Page half;
    half.progress = 0.5;
    CHECK(inked(setter.set(half, 800, 600), 0, 500).top >
          500);  // nothing near the middle, where the field will be
    CHECK(std::abs(static_cast<double>(ink_at(0.25)) / static_cast<double>(full) - 0.25) <= 0.002);
    Page none;
    const PageMask mask = setter.set(none, 800, 600);
    CHECK(std::count(mask.ink.begin(), mask.ink.end(), std::uint8_t{0}) == 800 * 600);
}

TEST_CASE("a long page is set smaller, and one that never fits is refused") {
    const PageSetter setter;
    Page page = instruction();
    for (int i = 0; i < 12; ++i)
        page.paragraphs.push_back(page.paragraphs[0]);
    const Extent all = inked(setter.set(page, 1280, 800), 0, 800);
    CHECK(all.top > 5);
    CHECK(all.bottom < 795);
    for (int i = 0; i < 20; ++i)
        page.paragraphs.push_back(page.paragraphs[0]);
    CHECK_THROWS_WITH(
        setter.set(page, 1280, 800),
        "page: the page 'Make both halves look alike' has more text than fits on the screen; shorten it, "
        "or make two pages of it");
    CHECK_THROWS_AS(setter.set(page, 1280, 800), InputError);
}

TEST_CASE("ink is white on dark and black on bright backgrounds") {
    CHECK(ink_level({0.0, 0.0, 0.0}) == 1.0);
    CHECK(ink_level({0.3, 0.3, 0.3}) == 1.0);
    CHECK(ink_level({0.0, 0.0, 1.0}) == 1.0);
    CHECK(ink_level({0.73, 0.73, 0.73}) == 0.0);
    CHECK(ink_level({1.0, 1.0, 1.0}) == 0.0);
}
