#include "base/yaml_reader.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <string>
#include <vector>

using namespace isoseam;

namespace {

// Every fault as a line "line:column: key: found; remedy", in the order of the file.
std::vector<std::string> told(const FaultList& faults) {
    std::vector<std::string> lines;
    try {
        faults.throw_if_any();
    } catch (const InputError& error) {
        for (const Fault& fault : error.faults())
            lines.push_back(to_string(fault));
    }
    return lines;
}

std::string refusal(const std::string& text) {
    FaultList faults("f.yaml");
    try {
        parse_yaml(text, faults);
    } catch (const InputError& error) {
        return error.what();
    }
    return "accepted";
}

}  // namespace

TEST_CASE("a file without faults is read by its types") {
    FaultList faults("f.yaml");
    const YamlNode root = parse_yaml(
        "name: half mirror\ncount: 3\nwidth: 60 cm\non: yes\noff: false\nmode: slow\nlist: [1, 2.5, -3e2]\n"
        "nested: {inner: {x: 7}}\nnothing:\n",
        faults);
    CHECK(root.at("name", "a name").text() == "half mirror");
    CHECK(root.at("count", "a count").whole_number(1, 5) == 3);
    CHECK(root.at("width", "a length").quantity(Dimension::length_mm) == 600.0);
    CHECK(root.at("on", "yes or no").yes_no() == true);
    CHECK(root.at("off", "yes or no").yes_no() == false);
    CHECK(root.at("mode", "a mode").choice({"quick", "slow"}) == 1);
    CHECK(root.at("list", "numbers").numbers() == std::vector<double>{1.0, 2.5, -300.0});
    const YamlNode x = root.find("nested").find("inner").find("x");
    CHECK(x.key_path() == "nested.inner.x");
    CHECK(x.line() == 8);
    CHECK(x.column() == 21);
    CHECK(x.number() == 7.0);
    CHECK_FALSE(root.find("nothing").exists());
    CHECK_FALSE(root.find("absent").exists());
    CHECK_FALSE(root.find("absent").find("below").number().has_value());
    CHECK(root.keys() == std::vector<std::string>{"name", "count", "width", "on", "off", "mode", "list",
                                                  "nested", "nothing"});
    CHECK(told(faults).empty());
}

TEST_CASE("all faults of a file are told at once, in the order of their lines") {
    FaultList faults("f.yaml");
    const YamlNode root = parse_yaml(
        "rig:\n"
        "  distance: 600 inches\n"
        "  repeats: 2.5\n"
        "  shuffled: perhaps\n"
        "  space: wide\n"
        "  steps: [1, two, 3]\n"
        "  lights: 1\n"
        "  angle: 400 deg\n"
        "  share: 5 %\n"
        "  empty:\n",
        faults);
    const YamlNode rig = root.at("rig", "the rig");
    CHECK_FALSE(rig.at("empty", "something").exists());
    CHECK_FALSE(rig.at("absent", "a length such as 600 mm").exists());
    CHECK_FALSE(rig.find("share").quantity(Dimension::fraction, 0.1, 0.5).has_value());
    CHECK_FALSE(rig.find("angle").quantity(Dimension::angle_deg, 0.0, 90.0).has_value());
    CHECK(rig.find("lights").items().empty());
    CHECK_FALSE(rig.find("steps").numbers().has_value());
    CHECK_FALSE(rig.find("space").choice({"primaries", "cone_contrast"}).has_value());
    CHECK_FALSE(rig.find("shuffled").yes_no().has_value());
    CHECK_FALSE(rig.find("repeats").whole_number(1, 99).has_value());
    CHECK_FALSE(rig.find("distance").quantity(Dimension::length_mm).has_value());
    CHECK(
        told(faults) ==
        std::vector<std::string>{
            "f.yaml:2:3: rig.absent: is missing; add 'absent: ...', a length such as 600 mm",
            "f.yaml:2:17: rig.distance: unknown unit 'inches'; write one of: mm, cm, m",
            "f.yaml:3:12: rig.repeats: found '2.5'; write a whole number from 1 to 99",
            "f.yaml:4:13: rig.shuffled: found 'perhaps'; write yes or no",
            "f.yaml:5:10: rig.space: unknown word 'wide'; write one of: primaries, cone_contrast",
            "f.yaml:6:14: rig.steps[2]: 'two' is not a number; write a number such as 0.5",
            "f.yaml:7:11: rig.lights: found '1'; write a list here: [a, b, c] or lines that start with '- '",
            "f.yaml:8:10: rig.angle: '400 deg' is out of range; write a value from 0 deg to 90 deg",
            "f.yaml:9:10: rig.share: '5 %' is out of range; write a value from 10 % to 50 %",
            "f.yaml:10:3: rig.empty: is missing; add 'empty: ...', something",
        });
}

TEST_CASE("the same fault is told once, however often the place is read") {
    FaultList faults("f.yaml");
    const YamlNode root = parse_yaml("rig: left\n", faults);
    for (int i = 0; i < 2; ++i) {
        root.find("rig").only_keys({"distance"});
        CHECK_FALSE(root.find("rig").at("distance", "a length").exists());
    }
    CHECK(told(faults) ==
          std::vector<std::string>{"f.yaml:1:6: rig: found 'left'; write a map here: 'key: value' lines"});
}

TEST_CASE("unknown keys and keys that stand twice are faults at the key") {
    FaultList faults("f.yaml");
    const YamlNode root =
        parse_yaml("field:\n  diametre: 2 deg\n  split: oblique\n  zzz: 1\n  split: vertical\n", faults);
    root.find("field").only_keys({"diameter", "split", "gap"});
    CHECK(root.find("field").find("split").text() == "oblique");
    CHECK(told(faults) ==
          std::vector<std::string>{
              "f.yaml:2:3: field: unknown key 'diametre'; did you mean 'diameter'? known here: "
              "diameter, split, gap",
              "f.yaml:4:3: field: unknown key 'zzz'; known here: diameter, split, gap",
              "f.yaml:5:3: field: key 'split' stands twice, first in line 3; keep one of them",
          });
}

TEST_CASE("keys that stand twice are found at any depth, and behind anchors that refer to themselves") {
    FaultList faults("f.yaml");
    parse_yaml("list:\n  - a: 1\n  - {b: 1, b: 2}\nloop: &loop [1, *loop]\nagain: *loop\n? [x, y]\n: 1\n",
               faults);
    CHECK(told(faults) == std::vector<std::string>{
                              "f.yaml:3:12: list[2]: key 'b' stands twice, first in line 3; keep one of them",
                              "f.yaml:6:3: a key that is a list; write a word as the key",
                          });
}

TEST_CASE("an alias is read as what its anchor holds, empty items are faults") {
    FaultList faults("f.yaml");
    const YamlNode root = parse_yaml("first: &grey [1, 2]\nsecond: *grey\nthird:\n  -\n  - 4\n", faults);
    CHECK(root.find("second").numbers() == std::vector<double>{1.0, 2.0});
    CHECK_FALSE(root.find("third").numbers().has_value());
    REQUIRE(told(faults).size() == 1);
    CHECK(told(faults).front().find("third[1]: found an empty item; write a value or take the item away") !=
          std::string::npos);
}

TEST_CASE("an error of another layer keeps its words and gets its place in the file") {
    const auto refuse_at_5 = [](std::string_view) -> int {
        throw InputError(Fault{"", 0, 5, "L", "word 2 is wrong", "write another"});
    };
    FaultList faults("f.yaml");
    const YamlNode root = parse_yaml(
        "plain: abcdefgh\n"
        "quoted: \"abcdefgh\"\n"
        "escaped: \"ab\\tcdefgh\"\n"
        "anchored: &here abcdefgh\n"
        "block: >\n  abcdefgh\n",
        faults);
    for (const std::string& key : root.keys())
        CHECK_FALSE(root.find(key).parsed(refuse_at_5).has_value());
    CHECK(told(faults) ==
          std::vector<std::string>{
              "f.yaml:1:12: plain (L): word 2 is wrong; write another",
              "f.yaml:2:14: quoted (L): word 2 is wrong; write another",
              // Which column that is cannot be told here: the start of the value stands instead.
              "f.yaml:3:10: escaped (L): word 2 is wrong; write another",
              "f.yaml:4:11: anchored (L): word 2 is wrong; write another",
              "f.yaml:5:8: block (L): word 2 is wrong; write another",
          });
}

TEST_CASE("what is no YAML, or not one document, is refused at its place") {
    CHECK(refusal("a: [1, 2\nb: 3\n").find("f.yaml:2:2: not valid YAML: ") == 0);
    CHECK(refusal("a: 1\n\tb: 2\n").find("f.yaml:2:1: not valid YAML: ") == 0);
    CHECK(refusal("a: *nowhere\n").find("f.yaml:1:4: not valid YAML: ") == 0);
    CHECK(refusal(std::string(5000, '[')).find("not valid YAML: ") != std::string::npos);
    CHECK(refusal("") == "f.yaml:1:1: the file is empty; write 'key: value' lines into it");
    CHECK(refusal("# only a comment\n") == refusal(""));
    CHECK(refusal("---\n") == refusal(""));
    CHECK(refusal("a: 1\n---\nb: 2\n") ==
          "f.yaml:3:1: 2 documents in one file; keep one document: take the lines '---' between them away");
}

TEST_CASE("a quotation mark that is never closed is a fault, escaped and doubled marks are not") {
    FaultList faults("f.yaml");
    parse_yaml("a: \"x \\\" y\"\nb: 'it''s'\nc: don't\nd: 'open ''\ne: 1\n", faults);
    CHECK(told(faults) ==
          std::vector<std::string>{
              "f.yaml:4:4: d: a quotation mark is never closed; close it at the end of the value"});
}

TEST_CASE("line ends of Windows and a byte-order mark do not shift places") {
    FaultList faults("f.yaml");
    const YamlNode root = parse_yaml(
        "\xEF\xBB\xBF"
        "a: 1\r\nb: two\r\n",
        faults);
    CHECK(root.find("a").number() == 1.0);
    CHECK_FALSE(root.find("b").number().has_value());
    CHECK(told(faults) ==
          std::vector<std::string>{"f.yaml:2:4: b: 'two' is not a number; write a number such as 0.5"});
}

TEST_CASE("a file that cannot be read says why") {
    CHECK_THROWS_WITH(read_text_file("/nowhere/at/all.yaml"),
                      "/nowhere/at/all.yaml: cannot be read: No such file or directory; check the path and "
                      "its permissions");
    const std::string folder = std::filesystem::temp_directory_path().string();
    CHECK_THROWS_WITH(read_text_file(folder),
                      folder + ": cannot be read: Is a directory; check the path and its permissions");
}
