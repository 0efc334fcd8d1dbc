#include "base/output_file.h"

#include <sys/resource.h>
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <filesystem>

#include "base/errors.h"
#include "support/error_text.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;
namespace fs = std::filesystem;

namespace {

std::size_t entries_of(const TemporaryFolder& folder) {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder.path()), {}));
}

// What the refusal of one path says; the same whether it is asked before the work or when it is written.
std::string refusal(const std::string& path, const OutputRules& rules) {
    const std::string asked = input_error_text([&] { check_output(path, "--out", rules); });
    CHECK(input_error_text([&] { write_output(path, "new", "--out", rules); }) == asked);
    return asked;
}

constexpr const char* kExists = "exists already; name a new file, or replace this one with --force";
constexpr const char* kNotRegular = "is no regular file, so nothing may take its place; name a new file";

}  // namespace

TEST_CASE("an output is written once, and replaced only with --force") {
    const TemporaryFolder folder;
    const std::string file = folder.file("page.html");
    write_output(file, "first", "--out", {});
    CHECK(file_bytes(file) == "first");
    CHECK(refusal(file, {}) == "--out: '" + file + "' " + kExists);
    CHECK(file_bytes(file) == "first");
    write_output(file, "second", "--out", {.force = true});
    CHECK(file_bytes(file) == "second");
    CHECK(entries_of(folder) == 1);
}

TEST_CASE("an output never replaces what its command reads, by whatever name") {
    const TemporaryFolder folder;
    const std::string input = folder.file("r.csv");
    write_file(input, "readings");
    fs::create_symlink("r.csv", folder.file("link.csv"));
    fs::create_hard_link(input, folder.file("other name.csv"));
    fs::create_directory(folder.file("inner"));
    for (const std::string& path : {input, folder.file("link.csv"), folder.file("other name.csv"),
                                    folder.file("inner/../r.csv"), folder.file("./r.csv")}) {
        CAPTURE(path);
        CHECK(refusal(path, {.force = true, .inputs = {"", folder.file("not there"), input}}) ==
              "--out: '" + path +
                  "' is read by this command; name a new file: nothing replaces what is read");
    }
    CHECK(refusal(input, {.force = true, .inputs = {folder.file("link.csv")}}).find("is read by") !=
          std::string::npos);
    CHECK(file_bytes(input) == "readings");
}

TEST_CASE("an output never replaces a file inside a folder that its command reads") {
    const TemporaryFolder folder;
    const std::string session = folder.file("session");
    fs::create_directories(session + "/inner");
    write_file(session + "/session.json", "{}");
    write_file(session + "/inner/deep", "x");
    fs::create_directory_symlink(session, folder.file("way in"));
    fs::create_symlink(session + "/session.json", folder.file("link"));
    const OutputRules rules{.force = true, .inputs = {folder.file("way in")}};
    for (const std::string& path : {session + "/session.json", session + "/inner/deep", folder.file("link"),
                                    folder.file("way in/session.json")}) {
        CAPTURE(path);
        CHECK(refusal(path, rules) == "--out: '" + path + "' lies in '" + folder.file("way in") +
                                          "', which this command reads; name a new file: nothing replaces "
                                          "what is read");
    }
    CHECK(file_bytes(session + "/session.json") == "{}");
    // What is not there yet harms nothing; a folder whose name merely begins alike is another one.
    write_output(session + "/report.html", "page", "--out", rules);
    write_file(folder.file("session.html"), "older");
    write_output(folder.file("session.html"), "page", "--out", rules);
    CHECK(file_bytes(folder.file("session.html")) == "page");
}

TEST_CASE("an output takes the place of no folder, pipe, device, or link to one, even with --force") {
    const TemporaryFolder folder;
    fs::create_directory(folder.file("folder"));
    REQUIRE(::mkfifo(folder.file("pipe").c_str(), 0600) == 0);
    fs::create_symlink("/dev/null", folder.file("null"));
    fs::create_symlink("folder", folder.file("to folder"));
    fs::create_symlink("nowhere", folder.file("to nothing"));
    // A device itself is left out: a program that is wrong would replace it.
    for (const std::string& path : {folder.file("folder"), folder.file("pipe"), folder.file("null"),
                                    folder.file("to folder"), folder.file("to nothing")}) {
        CAPTURE(path);
        CHECK(refusal(path, {.force = true}) == "--out: '" + path + "' " + kNotRegular);
    }
    CHECK(fs::is_fifo(folder.file("pipe")));
    CHECK(fs::is_symlink(folder.file("null")));
    CHECK(fs::is_symlink(folder.file("to nothing")));
    CHECK_FALSE(fs::exists(folder.file("nowhere")));
    CHECK(entries_of(folder) == 5);
    CHECK(refusal("", {.force = true}) == "--out: '' names no file; name a file");
}

TEST_CASE("a link to a file is itself replaced, and the file that it led to stays") {
    const TemporaryFolder folder;
    write_file(folder.file("old"), "older");
    fs::create_symlink("old", folder.file("link"));
    CHECK(refusal(folder.file("link"), {}) == "--out: '" + folder.file("link") + "' " + kExists);
    write_output(folder.file("link"), "new", "--out", {.force = true});
    CHECK_FALSE(fs::is_symlink(folder.file("link")));
    CHECK(file_bytes(folder.file("link")) == "new");
    CHECK(file_bytes(folder.file("old")) == "older");
}

TEST_CASE("an output that cannot be written leaves no half of a file, and what was there stays") {
    const TemporaryFolder folder;
    const auto machine_error = [](const std::string& path, const std::string& bytes) -> std::string {
        try {
            write_output(path, bytes, "--out", {.force = true});
        } catch (const MachineError& error) {
            return error.what();
        }
        return "no error";
    };
    CHECK(machine_error(folder.file("none/a.svg"), "x") ==
          folder.file("none/a.svg") +
              ": cannot be written (No such file or directory); name a file in a folder that exists, may be "
              "written to and has space");
    // As on a full disk: writing ends after 1000 bytes.
    write_file(folder.file("a.png"), "older");
    signal(SIGXFSZ, SIG_IGN);
    rlimit usual{};
    REQUIRE(getrlimit(RLIMIT_FSIZE, &usual) == 0);
    const rlimit small{1000, usual.rlim_max};
    REQUIRE(setrlimit(RLIMIT_FSIZE, &small) == 0);
    const std::string text = machine_error(folder.file("a.png"), std::string(3000, 'x'));
    REQUIRE(setrlimit(RLIMIT_FSIZE, &usual) == 0);
    CHECK_THAT(text, Catch::Contains("a.png: cannot be written (File too large)"));
    CHECK(file_bytes(folder.file("a.png")) == "older");
    CHECK(entries_of(folder) == 1);
}

TEST_CASE("an output goes through no file that somebody has put beside it") {
    const TemporaryFolder folder;
    write_file(folder.file("mine"), "mine");
    for (const char* guess : {"a.yaml.new", "a.yaml.part", ".a.yaml.part"})
        fs::create_symlink("mine", folder.file(guess));
    write_output(folder.file("a.yaml"), "new", "--out", {});
    CHECK(file_bytes(folder.file("mine")) == "mine");
    CHECK(file_bytes(folder.file("a.yaml")) == "new");
    CHECK(entries_of(folder) == 5);
}
