// Reading protocol files: what a sound one becomes, and what is said of a faulty one.

#include <catch2/catch.hpp>
#include <filesystem>
#include <sstream>

#include "protocols/example.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const std::string kFaulty = ISOSEAM_SOURCE_DIR "/tests/protocols/faulty/";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    for (std::size_t place = text.find(from); place != std::string::npos; place = text.find(from))
        text.replace(place, from.size(), to);
    return text;
}

// The lines after "# faults:".
std::string expected_faults(const std::string& text) {
    const std::string heading = "# faults:\n";
    std::istringstream lines(text.substr(text.find(heading) + heading.size()));
    std::string expected;
    for (std::string line; std::getline(lines, line);)
        expected += line.substr(2) + "\n";
    return expected;
}

}  // namespace

// Each file is named after its defect and ends with what must be said of it: every fault, in the order of
// lines.
TEST_CASE("a faulty protocol gets all its messages, each with its place, its key and a way out") {
    int files = 0;
    for (const auto& file : std::filesystem::directory_iterator(kFaulty)) {
        if (file.path().extension() != ".yaml")
            continue;
        ++files;
        INFO(file.path().filename());
        std::string told;
        for (const Fault& fault : check_protocol(file.path().string(), {}).faults)
            told += to_string(fault) + "\n";
        told = replaced(replaced(told, kFaulty, ""), ISOSEAM_SOURCE_DIR "/", "");
        const std::string expected = expected_faults(file_bytes(file.path().string()));
        REQUIRE_FALSE(expected.empty());
        CHECK(told == expected);
    }
    CHECK(files == 65);
}

TEST_CASE("every key of a sound protocol arrives where it belongs, in the unit that its name says") {
    const Protocol protocol = parse_protocol(
        example_with(
            {{"600 mm", "1.2 m"},
             {"  right: narrow\n", "  right: narrow\n  mirrored: [narrow]\n"},
             {"shape: disc, size: 2 deg, split: vertical, surround: black",
              "shape: annulus, size: 4 deg, inner_size: 60 arcmin, split: oblique -30 deg, gap: 0.05 deg, "
              "surround: grey, fixation: {mark: cross, size: 0.3 deg, light: pinkish}"},
             {"half: right", "half: left"}}) +
            "about: what it is for\nadaptation: {light: grey, duration: 2 min, top_up: 500 ms}\n"
            "instructions:\n  - {heading: One, text: a single paragraph}\n  - {heading: Two, text: [a, b]}\n"
            "closing: bye\norder: listed\nseed: 77\nrest_every: 4\nseconds_per_setting: 9 s\n",
        "folder/example.yaml");
    CHECK(protocol.title == "Example");
    CHECK(protocol.about == "what it is for");
    CHECK(protocol.observer.field.degrees() == 2.0);
    CHECK(protocol.observer.age.years() == 32.0);
    CHECK(protocol.rig.distance_mm == 1200.0);
    REQUIRE(protocol.rig.sources.size() == 2);
    CHECK(protocol.rig.sources[1].name == "narrow");
    CHECK(protocol.rig.sources[1].calibration_file == kDemoNarrowBand);
    CHECK(protocol.rig.half_source == std::array<int, 2>{0, 1});
    CHECK(protocol.rig.mirrored == std::array<bool, 2>{false, true});
    CHECK(protocol.field.shape == FieldShape::annulus);
    CHECK(protocol.field.size.degrees() == 4.0);
    CHECK(protocol.field.inner_size.degrees() == 1.0);
    CHECK(protocol.field.split_angle_deg == -30.0);
    CHECK(protocol.field.gap.degrees() == 0.05);
    CHECK(protocol.field.fixation == FixationMark::cross);
    CHECK(protocol.field.fixation_size.degrees() == 0.3);
    CHECK(protocol.surround.text() == "grey");
    CHECK(protocol.fixation->text() == "pinkish");
    CHECK(protocol.adaptation->text() == "grey");
    CHECK(protocol.adaptation_s == 120.0);
    CHECK(protocol.top_up_s == 0.5);
    REQUIRE(protocol.pages.size() == 2);
    CHECK(protocol.pages[0].paragraphs == std::vector<std::string>{"a single paragraph"});
    CHECK(protocol.pages[1].heading == "Two");
    CHECK(protocol.pages[1].paragraphs == std::vector<std::string>{"a", "b"});
    CHECK(protocol.closing == "bye");
    CHECK(protocol.adjusted == Half::first);
    CHECK(protocol.space == AdjustmentSpace::cone_contrast);
    REQUIRE(protocol.axes.size() == 3);
    CHECK(protocol.axes[0].name == "L-M");  // in the order of the file: the keys of the participant follow it
    CHECK(protocol.axes[0].fine == 0.004);
    CHECK(protocol.axes[0].coarse == 0.015);
    CHECK(protocol.axes[0].start == 0.05);
    REQUIRE(protocol.conditions.size() == 2);
    CHECK(protocol.conditions[1].name == "pinkish");
    CHECK(protocol.conditions[1].repeats == 3);
    CHECK_FALSE(protocol.shuffled);
    CHECK(protocol.seed == 77);
    CHECK(protocol.rest_every == 4);
    CHECK(protocol.seconds_per_setting == 9.0);
}

TEST_CASE("what may be left out has the value that the README says") {
    const Protocol protocol = parse_protocol(kExample, "example.yaml");
    CHECK(protocol.field.gap.degrees() == 0.0);
    CHECK(protocol.field.fixation == FixationMark::none);
    CHECK_FALSE(protocol.fixation);
    CHECK_FALSE(protocol.adaptation);
    CHECK(protocol.pages.empty());
    CHECK(protocol.closing.empty());
    CHECK(protocol.shuffled);
    CHECK_FALSE(protocol.seed);
    CHECK(protocol.rest_every == 0);
    CHECK(protocol.seconds_per_setting == 20.0);
    CHECK(protocol.rig.mirrored == std::array<bool, 2>{false, false});
}

TEST_CASE("halves are named by the split: horizontal ones upper and lower") {
    const Protocol protocol = parse_protocol(example_with({{"left: lcd", "lower: lcd"},
                                                           {"right: narrow", "upper: narrow"},
                                                           {"split: vertical", "split: horizontal"},
                                                           {"half: right", "half: upper"}}),
                                             "example.yaml");
    CHECK(protocol.rig.half_source == std::array<int, 2>{1, 0});
    CHECK(protocol.adjusted == Half::first);
    CHECK(protocol.field.is_horizontal());
}

TEST_CASE("files are looked for from the protocol's folder, and spectra are kept as text") {
    const TemporaryFolder folder;
    write_file(folder.file("lamp.csv"), "400,0.001\n700,0.001\n");
    const std::string text = example_with(
        {{kDemoLcd, "screens/a.yaml"}, {"contrast L 4 % M -4 % from grey", "spectrum lamp.csv at 20 cd/m2"}});
    const Protocol protocol = parse_protocol(text, folder.file("protocol.yaml"));
    CHECK(protocol.rig.sources[0].calibration_file == folder.file("screens/a.yaml"));
    CHECK(protocol.rig.sources[1].calibration_file == kDemoNarrowBand);
    CHECK(protocol.spectrum_files.at("lamp.csv") == "400,0.001\n700,0.001\n");
    CHECK(protocol.text == text);
}

TEST_CASE("a file that is cut off anywhere is refused or read, never worse") {
    for (std::size_t length = 0; length < kExample.size(); ++length) {
        INFO("first " << length << " bytes");
        try {
            parse_protocol(kExample.substr(0, length), "cut.yaml");
        } catch (const InputError& error) {
            CHECK_FALSE(error.faults().empty());
        }
    }
}

// The example in protocols/README.md is the language's description: it must be a protocol.
TEST_CASE("the example in the README reads") {
    const std::string readme = file_bytes(ISOSEAM_SOURCE_DIR "/protocols/README.md");
    const std::string fence = "```yaml\n";
    const std::size_t start = readme.find(fence) + fence.size();
    const std::string text = readme.substr(start, readme.find("```", start) - start);
    const std::string file = ISOSEAM_SOURCE_DIR "/protocols/library/example.yaml";
    const Protocol protocol = parse_protocol(text, file);
    CHECK(protocol.conditions.size() == 2);
    CHECK(protocol.pages.size() == 1);
    CHECK(protocol.adaptation_s > 0.0);
    CHECK(setup_of(text, file).source_count() == 2);
}
