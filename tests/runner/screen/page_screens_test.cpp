#include "runner/screen/page_screens.h"

#include <catch2/catch.hpp>

#include "support/error_text.h"

using namespace isoseam;

namespace {

Instruction with_paragraphs(int count) {
    Instruction instruction;
    instruction.heading = "Your task";
    for (int i = 0; i < count; ++i)
        instruction.paragraphs.push_back(std::to_string(i));
    instruction.foot = "the foot";
    instruction.keys = {{{"A"}, "left"}};
    return instruction;
}

// A screen for so many lines: paragraphs, and two for keys.
PageFits room_for(std::size_t lines) {
    return
        [lines](const Page& page) { return page.paragraphs.size() + (page.keys.empty() ? 0 : 2) <= lines; };
}

Page plain(double type_size) {
    Page page;
    page.type_size = type_size;
    page.mirrored = true;
    return page;
}

}  // namespace

TEST_CASE("an instruction becomes a page with all that it has") {
    Instruction instruction = with_paragraphs(1);
    instruction.choices = {"one", "two"};
    instruction.chosen = 1;
    const std::vector<Page> screens = page_screens(instruction, plain(1.0), false, "read on", room_for(9));
    REQUIRE(screens.size() == 1);
    const Page& page = screens.front();
    CHECK(page.heading == "Your task");
    CHECK(page.foot == "the foot");
    CHECK(page.keys.front().meaning == "left");
    CHECK(page.choices.size() == 2);
    CHECK(page.chosen == 1);
    CHECK(page.mirrored);
    CHECK_FALSE(page.entry);
    CHECK(page_screens(instruction, plain(1.0), true, "", room_for(9)).front().entry == "");
}

TEST_CASE("in large type a page that does not fit goes on over several screens, nothing lost or told twice") {
    for (const int count : {1, 2, 5, 8, 9}) {
        const std::vector<Page> screens =
            page_screens(with_paragraphs(count), plain(1.8), false, "read on", room_for(4));
        CAPTURE(count);
        std::vector<std::string> read;
        for (std::size_t i = 0; i < screens.size(); ++i) {
            const bool is_last = i + 1 == screens.size();
            CHECK(screens[i].heading == "Your task");
            CHECK(screens[i].foot == (is_last ? "the foot" : "read on"));
            CHECK(screens[i].keys.empty() != is_last);
            CHECK(room_for(4)(screens[i]));
            read.insert(read.end(), screens[i].paragraphs.begin(), screens[i].paragraphs.end());
        }
        CHECK(read == with_paragraphs(count).paragraphs);
        CHECK(screens.size() == (count <= 2 ? 1U : count == 5 ? 2U : 3U));
    }
    CHECK(page_screens(with_paragraphs(9), plain(1.0), false, "read on", room_for(4)).size() == 1);
    // What fits nowhere is set smaller.
    CHECK(page_screens(with_paragraphs(3), plain(1.8), false, "read on", room_for(0)).size() == 3);
}

TEST_CASE("a size of text that there is not is told with those that there are") {
    CHECK(parse_text_size("largest") == 1.8);
    CHECK(test::input_error_text([] { parse_text_size("huge"); }) ==
          "--text-size: 'huge' is no size of text; write one of: normal, large, largest");
}
