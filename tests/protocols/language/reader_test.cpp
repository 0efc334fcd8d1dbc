// Reading protocol files: what a sound one becomes, and what is said of a faulty one.

#include <catch2/catch.hpp>
#include <filesystem>
#include <sstream>

#include "protocols/checks/check.h"
#include "support/error_text.h"
#include "support/file_bytes.h"
#include "support/protocols/example_protocol.h"
#include "support/protocols/readme_examples.h"
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
    CHECK(files == 75);
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
    CHECK(protocol.pages[0].paragraphs.in("") == std::vector<std::string>{"a single paragraph"});
    CHECK(protocol.pages[1].heading.in("") == "Two");
    CHECK(protocol.pages[1].paragraphs.in("") == std::vector<std::string>{"a", "b"});
    CHECK(protocol.closing.in("") == "bye");
    CHECK(protocol.adjusted == Half::first);
    REQUIRE(protocol.blocks.size() == 1);
    CHECK(protocol.blocks[0].space == AdjustmentSpace::cone_contrast);
    REQUIRE(protocol.conditions.size() == 2);
    const std::vector<AdjustmentAxis>& axes = protocol.conditions[0].axes;
    REQUIRE(axes.size() == 3);
    CHECK(axes[0].name == "L-M");  // in the order of the file: the keys of the participant follow it
    CHECK(axes[0].fine == 0.004);
    CHECK(axes[0].coarse == 0.015);
    CHECK(axes[0].start == 0.05);
    CHECK(protocol.conditions[1].name == "pinkish");
    CHECK(protocol.conditions[1].repeats == 3);
    CHECK(protocol.blocks[0].order == TrialOrder::listed);
    CHECK(protocol.seed == 77);
    CHECK(protocol.blocks[0].rest_every == 4);
    CHECK(protocol.blocks[0].seconds_per_trial == 9.0);
}

TEST_CASE("what may be left out has the value that the README says") {
    const Protocol protocol = parse_protocol(kExample, "example.yaml");
    CHECK(protocol.field.gap.degrees() == 0.0);
    CHECK(protocol.field.fixation == FixationMark::none);
    CHECK_FALSE(protocol.fixation);
    CHECK_FALSE(protocol.adaptation);
    CHECK(protocol.pages.empty());
    CHECK(protocol.closing.empty());
    CHECK(protocol.blocks.at(0).order == TrialOrder::shuffled);
    CHECK_FALSE(protocol.seed);
    CHECK(protocol.blocks[0].rest_every == 0);
    CHECK(protocol.blocks[0].seconds_per_trial == 20.0);
    CHECK_FALSE(std::get<AdjustmentPlan>(protocol.blocks[0].plan).bracketing);
    CHECK_FALSE(std::get<AdjustmentPlan>(protocol.blocks[0].plan).time_limit_s);
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

// Whatever comes of it, it is an InputError with faults, or a protocol.
TEST_CASE("examples with a value that does not belong there are refused or read, never worse") {
    const std::vector<std::string> values{"0",
                                          "-1",
                                          "nan",
                                          "1e400",
                                          "[]",
                                          "{}",
                                          "~",
                                          "5 %",
                                          "-5 %",
                                          "x",
                                          "L",
                                          "0 s",
                                          "[1 %, 2 %]",
                                          "yes",
                                          "99999999999",
                                          "[L, M, S, L]",
                                          "{from: 1 %, to: 2 %, count: 3}"};
    constexpr std::uint64_t kChangesOfEach = 60;
    const RandomStream random{20, 0};
    std::uint64_t draw = 0;
    for (const std::string& text : readme_protocols()) {
        std::vector<std::size_t> places;
        for (std::size_t place = text.find(": "); place != std::string::npos;
             place = text.find(": ", place + 1))
            places.push_back(place + 2);
        for (std::uint64_t i = 0; i < kChangesOfEach; ++i) {
            std::string changed = text;
            const std::size_t from = places[random.below(draw++, places.size())];
            const std::size_t end = changed.find_first_of(",}]\n", from);
            changed.replace(from, end - from, values[random.below(draw++, values.size())]);
            INFO(changed);
            try {
                parse_protocol(changed, kReadmeFile);
            } catch (const InputError& error) {
                CHECK_FALSE(error.faults().empty());
            }
        }
    }
}

// The examples in protocols/README.md are the language's description: they must be protocols.
TEST_CASE("every example in the README reads, and its stimuli can be shown") {
    const std::vector<std::string> protocols = readme_protocols();
    CHECK(protocols.size() == 13);
    for (const std::string& text : protocols) {
        INFO(text);
        CHECK(input_error_text([&] { setup_of(text, kReadmeFile); }) == "no error");
    }
    const Protocol whole = parse_protocol(protocols.front(), kReadmeFile);
    CHECK(whole.conditions.size() == 2);
    CHECK(whole.pages.size() == 1);
    CHECK(whole.adaptation_s > 0.0);
}
