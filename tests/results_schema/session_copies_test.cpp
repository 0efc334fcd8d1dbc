#include "results_schema/session_copies.h"

#include <catch2/catch.hpp>
#include <filesystem>

#include "support/example_session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
namespace fs = std::filesystem;

TEST_CASE("a session that is given twice is known by its name and its session.json") {
    const test::TemporaryFolder place;
    const std::string first = test::write_example(place.file("a"), 2, "");
    const std::string other = test::write_example(place.file("b"), 2);  // another of the same name
    test::write_file(other + "/session.json", test::file_bytes(first + "/session.json") + "\n");
    fs::create_directory(place.file("c"));
    fs::copy(first, place.file("copy"));
    const auto identity = [](const std::string& folder) {
        return identity_of(read_session_folder(folder, ReadFor::records));
    };
    SessionCopies copies;
    CHECK(copies.why_left_out(identity(first)).empty());
    CHECK(copies.why_left_out(identity(place.file("copy"))) ==
          "left out, since it is the same session as " + first + ", which came before");
    CHECK(copies.why_left_out(identity(other)).empty());
    // Two that cannot be read are not each other's copies.
    CHECK(copies.why_left_out(identity(place.file("c"))).empty());
    CHECK(copies.why_left_out(identity(place.file("c"))).empty());
}

TEST_CASE("a copy that holds more says so") {
    const test::TemporaryFolder place;
    const std::string whole = test::write_example(place.file("a"), 3);
    const std::string early = place.file("early");
    fs::copy(whole, early);
    std::string log = test::file_bytes(early + "/settings.jsonl");
    log.erase(log.rfind("{\"number\":13"));
    test::write_file(early + "/settings.jsonl", log);
    SessionCopies copies;
    CHECK(copies.why_left_out(identity_of(read_session_folder(early))).empty());
    CHECK_THAT(copies.why_left_out(identity_of(read_session_folder(whole))),
               Catch::EndsWith("; it holds more settings and answers (3 and not 2): give it alone"));
}
