// The protocols that come with the program: sound, reachable, and kind to the participant.

#include <catch2/catch.hpp>
#include <cctype>
#include <cstdlib>
#include <filesystem>
#include <regex>

#include "protocols/example.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// For one scope.
class LibraryFolder {
  public:
    explicit LibraryFolder(const std::string& path) { ::setenv("ISOSEAM_PROTOCOL_LIBRARY", path.c_str(), 1); }
    LibraryFolder(const LibraryFolder&) = delete;
    LibraryFolder& operator=(const LibraryFolder&) = delete;
    ~LibraryFolder() { ::unsetenv("ISOSEAM_PROTOCOL_LIBRARY"); }
};

}  // namespace

TEST_CASE("the ready protocols are listed by name with their titles") {
    const std::vector<ReadyProtocol> ready = ready_protocols();
    REQUIRE(ready.size() == 4);
    CHECK(ready[0].name == "demo");
    CHECK(ready[1].name == "flicker_photometry");
    CHECK(ready[2].name == "metamer_two_sources");
    CHECK(ready[2].title == "A metamer match between two sources");
    CHECK(ready[3].name == "precision_one_screen");
    CHECK(std::filesystem::exists(ready[3].path));
}

TEST_CASE("every ready protocol can be run as it is, and almost every starting point is reachable") {
    for (const ReadyProtocol& ready : ready_protocols()) {
        INFO(ready.name);
        const ProtocolReport report = check_protocol(ready.path, {});
        CHECK(report.faults.empty());
        CHECK(report.halves_share_primaries ==
              (ready.name == "precision_one_screen" || ready.name == "flicker_photometry"));
        REQUIRE_FALSE(report.conditions.empty());
        for (const auto& condition : report.conditions) {
            CHECK(condition.reference_margin > 0.05);
            CHECK(condition.match_margin > 0.05);
            CHECK(condition.reachable_share > 0.95);
        }
        for (const std::string& caution : report.cautions)
            CHECK(caution.find("finer than the adjusted light's steps") == std::string::npos);
    }
}

TEST_CASE("the demo is short, and its pages and closing are there") {
    const Protocol demo = read_protocol(ready_protocols()[0].path);
    CHECK(expected_duration_s(demo) < 120.0);
    CHECK(demo.adaptation_s == 5.0);
    CHECK(trial_order(demo, 0).size() == 4);
}

// The participant never sees numbers, and every page says how to answer or how to leave.
TEST_CASE("instructions name the keys and no numbers of the experiment") {
    for (const ReadyProtocol& ready : ready_protocols()) {
        INFO(ready.name);
        const Protocol protocol = read_protocol(ready.path);
        std::string words = protocol.closing;
        for (const InstructionPage& page : protocol.pages) {
            for (const std::string& paragraph : page.paragraphs) {
                CHECK(paragraph.size() < 220);  // set in large type
                words += paragraph + "\n";
            }
        }
        CHECK_FALSE(std::regex_search(words, std::regex("[0-9%]")));
        std::vector<std::string> keys{"left and right arrow", "shift", "space bar", "escape"};
        if (protocol.axes.size() > 1)
            keys.insert(keys.end(), {"up and down arrow", "page up", "page down", "escape twice"});
        for (const std::string& key : keys)
            CHECK(words.find(key) != std::string::npos);
    }
}

TEST_CASE("another folder of ready protocols can be named, and a file that does not read says why") {
    const TemporaryFolder folder;
    write_file(folder.file("mine.yaml"), kExample);
    write_file(folder.file("broken.yaml"), "isoseam_protocol: 3\n");
    write_file(folder.file("notes.md"), "not a protocol\n");
    const LibraryFolder chosen(folder.path());
    const std::vector<ReadyProtocol> ready = ready_protocols();
    REQUIRE(ready.size() == 2);
    CHECK(ready[0].title.find("does not read: ") == 0);
    CHECK(ready[0].title.find("version '3' of the protocol language") != std::string::npos);
    CHECK(ready[1].title == "Example");
}

TEST_CASE("a missing folder of ready protocols is told with a way out") {
    const LibraryFolder chosen("/nowhere");
    CHECK_THROWS_WITH(
        ready_protocols(),
        "the folder of ready protocols, /nowhere, cannot be read: No such file or directory; set "
        "ISOSEAM_PROTOCOL_LIBRARY to the folder protocols/library of Isoseam");
}
