#include "stimuli/gl/page_mask.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <vector>

#include "base/errors.h"

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

int ink(const PageMask& mask, int x, int y) {
    return mask.ink[static_cast<std::size_t>(y) * static_cast<std::size_t>(mask.width) +
                    static_cast<std::size_t>(x)];
}

std::size_t all_ink(const PageMask& mask) {
    return static_cast<std::size_t>(
        std::count_if(mask.ink.begin(), mask.ink.end(), [](std::uint8_t value) { return value > 0; }));
}

// Columns that are inked in every row of a stretch: upright strokes of a box.
std::vector<int> upright_lines(const PageMask& mask, int from_row, int to_row) {
    std::vector<int> columns;
    for (int x = 0; x < mask.width; ++x) {
        bool solid = true;
        for (int y = from_row; y < to_row && solid; ++y)
            solid = ink(mask, x, y) > 100;
        if (solid && (columns.empty() || columns.back() + 3 < x))
            columns.push_back(x);
    }
    return columns;
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

TEST_CASE(
    "keys are boxes with their label inside and their meaning to the right, and mirrored all is flipped") {
    const PageSetter setter;
    Page page;
    page.keys = {{{"A"}, ""}};
    const PageMask one = setter.set(page, 1280, 800);
    const Extent box = inked(one, 0, 800);
    const int middle = (box.top + box.bottom) / 2;
    CHECK(std::abs((box.right - box.left) - (box.bottom - box.top)) <= 1);  // a single letter's key is square
    CHECK(upright_lines(one, middle - 8, middle + 8).size() == 2);          // and a letter A has no upright
    CHECK(ink(one, box.left, box.top) == 0);                                // round corners
    page.keys = {{{"Space bar"}, ""}};
    const Extent wide = inked(setter.set(page, 1280, 800), 0, 800);
    CHECK(wide.right - wide.left > 3 * (wide.bottom - wide.top));

    page.keys = {{{"A", "", "B"}, "left"}, {{"C"}, "right"}};
    const PageMask rows = setter.set(page, 1280, 800);
    CHECK(inked(rows, 0, 800).right > box.right + 100);
    page.mirrored = true;
    const PageMask flipped = setter.set(page, 1280, 800);
    for (int y = 0; y < 800; ++y) {
        for (int x = 0; x < 1280; ++x) {
            if (ink(flipped, x, y) != ink(rows, 1279 - x, y))
                FAIL("not flipped at " << x << ", " << y);
        }
    }
}

TEST_CASE("the choice that stands out has a frame and a mark, whatever its place") {
    const PageSetter setter;
    Page page;
    page.choices = {"first", "second", "third"};
    const PageMask none = setter.set(page, 1280, 800);
    std::vector<int> tops;
    for (int chosen = 0; chosen < 3; ++chosen) {
        page.chosen = chosen;
        const PageMask mask = setter.set(page, 1280, 800);
        // What is there and was not without a choice.
        Extent added{mask.height, -1, mask.width, -1};
        for (int y = 0; y < 800; ++y) {
            for (int x = 0; x < 1280; ++x) {
                if (ink(none, x, y) == 0 && ink(mask, x, y) > 0)
                    added = {std::min(added.top, y), std::max(added.bottom, y), std::min(added.left, x),
                             std::max(added.right, x)};
            }
        }
        tops.push_back(added.top);
        const int middle = (added.top + added.bottom) / 2;
        CHECK(ink(mask, added.left + 1, middle) > 200);
        CHECK(ink(mask, added.right - 1, middle) > 200);
        CHECK(added.right - added.left > 900);
        // The mark: between the frame and the words.
        int mark = 0;
        for (int x = added.left + 8; x < added.left + 45; ++x)
            mark += ink(mask, x, middle) > 200 ? 1 : 0;
        CHECK(mark > 8);
    }
    CHECK(tops[0] < tops[1]);
    CHECK(tops[2] - tops[1] == Approx(tops[1] - tops[0]).margin(1.5));
}

TEST_CASE("what is typed stands in a box, the caret behind it, also before anything is typed") {
    const PageSetter setter;
    Page page;
    page.entry = "";
    const PageMask empty = setter.set(page, 1280, 800);
    const Extent box = inked(empty, 0, 800);
    const int middle = (box.top + box.bottom) / 2;
    const std::vector<int> lines = upright_lines(empty, middle - 10, middle + 10);
    REQUIRE(lines.size() == 3);  // two sides and the caret
    page.entry = "35";
    const std::vector<int> later = upright_lines(setter.set(page, 1280, 800), middle - 10, middle + 10);
    CHECK(later.back() == lines.back());
    CHECK(later[later.size() - 2] > lines[1] + 20);
}

TEST_CASE("keys in the foot are drawn as keys, and brackets that enclose nothing stay") {
    const PageSetter setter;
    Page page;
    page.foot = "Esc: leave";
    const Extent plain = inked(setter.set(page, 1280, 800), 0, 800);
    page.foot = "[Esc]: leave";
    const PageMask mask = setter.set(page, 1280, 800);
    const Extent boxed = inked(mask, 0, 800);
    CHECK(boxed.bottom - boxed.top > plain.bottom - plain.top + 5);
    CHECK(std::abs((boxed.left + boxed.right) / 2 - 640) <= 3);
    CHECK(boxed.right < 800);
    page.foot = "Esc [ leave";
    const Extent open = inked(setter.set(page, 1280, 800), 0, 800);
    CHECK(open.right - open.left > 100);
}

TEST_CASE("large type is as much larger where the page fits, and else as large as fits") {
    const PageSetter setter;
    Page page;
    page.heading = "Paused";
    const auto height = [&](double size) {
        page.type_size = size;
        const Extent extent = inked(setter.set(page, 1280, 800), 0, 800);
        return static_cast<double>(extent.bottom - extent.top);
    };
    const double usual = height(1.0);
    CHECK(height(1.4) / usual == Approx(1.4).margin(0.05));
    CHECK(height(1.8) / usual == Approx(1.8).margin(0.05));

    Page crowded = instruction();
    for (int i = 0; i < 6; ++i)
        crowded.paragraphs.push_back(crowded.paragraphs[0]);
    CHECK_FALSE(setter.fits(crowded, 1280, 800));
    CHECK(setter.fits(instruction(), 1280, 800));
    const std::size_t in_usual_type = all_ink(setter.set(crowded, 1280, 800));
    crowded.type_size = 1.8;
    const std::size_t in_large_type = all_ink(setter.set(crowded, 1280, 800));
    CHECK(in_large_type == Approx(static_cast<double>(in_usual_type)).epsilon(0.1));
}
