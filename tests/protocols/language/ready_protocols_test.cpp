// The protocols that come with the program: sound, reachable, and kind to the participant.

#include <algorithm>
#include <catch2/catch.hpp>
#include <cctype>
#include <cstdlib>
#include <filesystem>
#include <regex>
#include <set>
#include <stdexcept>

#include "protocols/checks/check.h"
#include "protocols/course/run_order.h"
#include "protocols/language/durations.h"
#include "protocols/language/ready_protocols.h"
#include "support/file_bytes.h"
#include "support/protocols/example_protocol.h"
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

ReadyProtocol named(const std::string& name) {
    for (const ReadyProtocol& ready : ready_protocols()) {
        if (ready.name == name)
            return ready;
    }
    throw std::logic_error("no ready protocol " + name);
}

std::string lower(std::string words) {
    std::transform(words.begin(), words.end(), words.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return words;
}

std::vector<std::string> languages_of(const Protocol& protocol) {
    return protocol.languages.empty() ? std::vector<std::string>{""} : protocol.languages;
}

// Consent, pages and closing, as a participant reads them.
struct ParticipantWords {
    std::vector<std::string> paragraphs;
    std::string all;
    bool keys_are_shown = false;
};
ParticipantWords participant_words(const Protocol& protocol, const std::string& language) {
    ParticipantWords words;
    const auto add = [&](const Words& heading, const Paragraphs& paragraphs) {
        words.all += heading.in(language) + "\n";
        for (const std::string& paragraph : paragraphs.in(language)) {
            words.paragraphs.push_back(paragraph);
            words.all += paragraph + "\n";
        }
    };
    if (protocol.consent)
        add(protocol.consent->heading, protocol.consent->paragraphs);
    std::vector<InstructionPage> pages = protocol.pages;
    for (const Block& block : protocol.blocks)
        pages.insert(pages.end(), block.pages.begin(), block.pages.end());
    for (const InstructionPage& page : pages) {
        add(page.heading, page.paragraphs);
        words.keys_are_shown = words.keys_are_shown || page.keys;
    }
    words.paragraphs.push_back(protocol.closing.in(language));
    words.all += words.paragraphs.back();
    return words;
}

}  // namespace

TEST_CASE("the ready protocols are listed by name with their titles") {
    std::vector<std::string> names;
    for (const ReadyProtocol& ready : ready_protocols()) {
        names.push_back(ready.name);
        CHECK(std::filesystem::exists(ready.path));
        CHECK_THAT(ready.title, !Catch::Contains("does not read"));
    }
    CHECK(names == std::vector<std::string>{"cone_isolating_thresholds", "demo",
                                            "desaturated_spectral_matches", "dichromat_confusions",
                                            "flicker_photometry", "induction_by_surround",
                                            "metamer_seven_colours", "metamer_two_sources", "moreland_type",
                                            "precision_one_screen", "rayleigh_type"});
    CHECK(named("metamer_two_sources").title == "A metamer match between two sources");
}

TEST_CASE("every ready protocol can be run as it is, and almost every starting point is reachable") {
    const std::set<std::string> two_sources{"demo",
                                            "desaturated_spectral_matches",
                                            "metamer_seven_colours",
                                            "metamer_two_sources",
                                            "moreland_type",
                                            "rayleigh_type"};
    // Saturated lights that two primaries make: the third is nearly dark.
    const std::set<std::string> near_the_border{"moreland_type", "rayleigh_type"};
    for (const ReadyProtocol& ready : ready_protocols()) {
        INFO(ready.name);
        const ProtocolReport report = check_protocol(ready.path, {});
        for (const Fault& fault : report.faults)
            FAIL_CHECK(to_string(fault));
        CHECK(report.halves_share_primaries == (two_sources.count(ready.name) == 0));
        REQUIRE_FALSE(report.conditions.empty());
        const double least_margin = near_the_border.count(ready.name) > 0 ? 0.005 : 0.05;
        for (const auto& condition : report.conditions) {
            CHECK(condition.reference_margin > least_margin);
            CHECK(condition.match_margin > least_margin);
            CHECK(condition.reachable_share.value_or(1.0) > 0.95);
        }
        for (const std::string& caution : report.cautions) {
            CHECK_THAT(caution, !Catch::Contains("finer than the adjusted light's steps"));
            CHECK_THAT(caution, !Catch::Contains("is never used"));
        }
    }
}

TEST_CASE(
    "every ready protocol but the demo has a page that says how long it takes and that it is no diagnosis") {
    for (const ReadyProtocol& ready : ready_protocols()) {
        INFO(ready.name);
        const std::filesystem::path page = std::filesystem::path(ready.path).replace_extension(".md");
        if (ready.name == "demo") {
            CHECK_FALSE(std::filesystem::exists(page));
            continue;
        }
        const std::string words = file_bytes(page.string());
        CHECK(words.find("# ") == 0);
        CHECK_THAT(words, Catch::Contains("diagnos") && Catch::Contains("**Time.**"));
        CHECK_THAT(file_bytes(ready.path), Catch::Contains("Explained in " + ready.name + ".md."));
    }
}

TEST_CASE("the demo is short, and its pages and closing are there") {
    const Protocol demo = read_protocol(named("demo").path);
    CHECK(expected_duration_s(demo) < 120.0);
    CHECK(demo.adaptation_s == 5.0);
    CHECK(run_order(demo, 0, "P01").size() == 4);
    CHECK(demo.languages.empty());
    CHECK_FALSE(demo.consent);
}

// The participant never sees numbers, and every page says how to answer or how to leave.
TEST_CASE("instructions name the keys, or show them, and no numbers of the experiment") {
    for (const ReadyProtocol& ready : ready_protocols()) {
        const Protocol protocol = read_protocol(ready.path);
        for (const std::string& language : languages_of(protocol)) {
            INFO(ready.name << ' ' << language);
            const ParticipantWords words = participant_words(protocol, language);
            for (const std::string& paragraph : words.paragraphs)
                CHECK(paragraph.size() < 220);  // set in large type
            CHECK_FALSE(std::regex_search(words.all, std::regex("[0-9%]")));
            const bool english = language != "de";
            CHECK_THAT(lower(words.all), Catch::Contains("escape"));
            if (words.keys_are_shown)
                continue;
            std::vector<std::string> keys =
                english ? std::vector<std::string>{"left and right arrow", "shift", "space bar"}
                        : std::vector<std::string>{"Pfeiltasten", "Umschalttaste", "Leertaste"};
            const std::size_t axes = protocol.conditions.front().axes.size();
            if (axes > 1)
                keys.insert(keys.end(), {"up and down arrow", "escape twice"});
            if (axes > 2)
                keys.insert(keys.end(), {"page up", "page down"});
            for (const std::string& key : keys)
                CHECK(words.all.find(key) != std::string::npos);
        }
    }
}

TEST_CASE("where a ready protocol has several languages, each page says something of its own in each") {
    int pages = 0;
    for (const ReadyProtocol& ready : ready_protocols()) {
        const Protocol protocol = read_protocol(ready.path);
        if (protocol.languages.empty())
            continue;
        INFO(ready.name);
        CHECK(protocol.languages == std::vector<std::string>{"en", "de"});
        const ParticipantWords english = participant_words(protocol, "en");
        const ParticipantWords german = participant_words(protocol, "de");
        REQUIRE(english.paragraphs.size() == german.paragraphs.size());
        for (std::size_t i = 0; i < english.paragraphs.size(); ++i, ++pages)
            CHECK(english.paragraphs[i] != german.paragraphs[i]);
    }
    CHECK(pages > 20);
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
