#include "base/yaml_document.h"

#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <string>

#include "support/error_text.h"
#include "support/sanitized.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

std::string refusal(const std::string& text) {
    return input_error_text([&] { only_document(text, "f.yaml"); });
}

// The same in a process of its own, which may not take more than a few seconds and 2 GB.
std::string refusal_within_bounds(const std::string& text) {
    std::array<int, 2> ends{};
    REQUIRE(::pipe(ends.data()) == 0);
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        const rlimit time{5, 5};
        ::setrlimit(RLIMIT_CPU, &time);
        if (!test::kSanitized) {
            const rlimit memory{2'000'000'000, 2'000'000'000};
            ::setrlimit(RLIMIT_AS, &memory);
        }
        std::string told;
        try {
            told = refusal(text);
        } catch (const std::exception& error) {
            told = fmt::format("another exception: {}", error.what());
        }
        const bool written = ::write(ends[1], told.data(), told.size()) == static_cast<ssize_t>(told.size());
        ::_exit(written ? 0 : 1);
    }
    ::close(ends[1]);
    std::string told;
    std::array<char, 4096> buffer{};
    for (ssize_t count = 0; (count = ::read(ends[0], buffer.data(), buffer.size())) > 0;)
        told.append(buffer.data(), static_cast<std::size_t>(count));
    ::close(ends[0]);
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    return WIFEXITED(status) && WEXITSTATUS(status) == 0 ? told : fmt::format("status {}", status);
}

std::string comma_at(int line, int column) {
    return fmt::format(
        "f.yaml:{}:{}: not valid YAML: a comma where a document would begin; give a YAML file of 'key: "
        "value' "
        "lines: a table of values with commas between them is none",
        line, column);
}

}  // namespace

TEST_CASE("a comma where a document begins ends the reading, and does not fill the memory") {
    CHECK(refusal_within_bounds(",") == comma_at(1, 1));
    CHECK(refusal_within_bounds("\"a\",") == comma_at(1, 4));
    CHECK(refusal_within_bounds("--- ,") == comma_at(1, 5));
    CHECK(refusal_within_bounds("a: 1\n---\n,") == comma_at(3, 1));
    CHECK(refusal_within_bounds("a: 1\n...\n,\n") == comma_at(3, 1));
    CHECK(refusal_within_bounds("[a, b], c") == comma_at(1, 7));
    CHECK(refusal_within_bounds("\"r\",\"g\",\"b\"\n1,2,3\n") == comma_at(1, 4));
}

TEST_CASE("documents are counted to the last, empty ones too") {
    CHECK(refusal("~") == "f.yaml:1:1: the file is empty; write 'key: value' lines into it");
    const std::string remedy = "; keep one document: take the lines '---' between them away";
    CHECK(refusal("a: 1\n---\n") == "f.yaml:3:1: 2 documents in one file" + remedy);
    CHECK(refusal("---\n---\na: 1\n") == "f.yaml:3:1: 2 documents in one file" + remedy);
    CHECK(refusal("\"a\" \"b\" \"c\"") == "f.yaml:1:5: 3 documents in one file" + remedy);
    CHECK_THAT(refusal("a: 1\n---\nb: [\n"),
               Catch::StartsWith("f.yaml:") && Catch::Contains("not valid YAML"));
}

TEST_CASE("texts with as many events as their size allows are read") {
    std::string dense = "[";
    for (int i = 0; i < 1000; ++i)
        dense += ":,";
    CHECK(only_document(dense + "]", "f.yaml").size() == 1000);
    CHECK(only_document("- - - - -", "f.yaml").IsSequence());
    CHECK(only_document("a: 1\n...\n", "f.yaml").IsMap());
}

TEST_CASE("a place in a text is found by line and column") {
    CHECK(text_from("ab\ncd\n", 1, 1) == "ab\ncd\n");
    CHECK(text_from("ab\ncd\n", 2, 2) == "d\n");
    CHECK(text_from("ab", 2, 1).empty());
    CHECK(text_from("ab", 1, 4).empty());
}
