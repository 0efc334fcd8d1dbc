#include "analysis/figures/figure_text.h"

#include <catch2/catch.hpp>
#include <random>

using namespace isoseam;

TEST_CASE("Text is wrapped between words, and long words anywhere, so that each line fits") {
    CHECK(wrapped("", 10.0, 50.0) == std::vector<std::string>{""});
    CHECK(wrapped("  one   two ", 10.0, 100.0) == std::vector<std::string>{"one two"});
    std::minstd_rand random(3);
    for (int n = 0; n < 200; ++n) {
        std::string text;
        for (int k = 0; k < 30; ++k)
            text += std::string(random() % 25, 'a') + (random() % 2 == 0 ? " " : "\u00e9\u2080");
        const double width_mm = 10.0 + static_cast<double>(random() % 60);
        std::string letters, wrapped_letters;
        for (const std::string& line : wrapped(text, 10.0, width_mm)) {
            CHECK(text_width_mm(line, 10.0) <= width_mm);
            CHECK(clean_text(line) == line);  // no letter was cut in two
            for (const char c : line)
                wrapped_letters += c == ' ' ? "" : std::string(1, c);
        }
        for (const char c : text)
            letters += c == ' ' ? "" : std::string(1, c);
        CHECK(wrapped_letters == letters);
    }
    CHECK(wrapped("abc", 10.0, 0.1) == std::vector<std::string>{"a", "b", "c"});
}

// Well-formed UTF-8: The Unicode Standard, table 3-7.
TEST_CASE("Clean text is UTF-8 without control characters") {
    CHECK(clean_text("a\tb\nc\x7f") == "a b c ");
    CHECK(clean_text("L\u2080 \u00e9 \U0001F441 \uFFFD") == "L\u2080 \u00e9 \U0001F441 \uFFFD");
    CHECK(clean_text("\xc2\x85") == " ");                       // next line, a C1 control
    CHECK(clean_text("\xc0\xaf") == "\uFFFD\uFFFD");            // overlong
    CHECK(clean_text("\xed\xa0\x80") == "\uFFFD\uFFFD\uFFFD");  // surrogate
    CHECK(clean_text("\xf4\x90\x80\x80") == "\uFFFD\uFFFD\uFFFD\uFFFD");
    CHECK(clean_text("a\xe2\x82") == "a\uFFFD\uFFFD");  // cut off
    CHECK(clean_text("\xef\xbf\xbf") == "\uFFFD");      // may not stand in XML
}
