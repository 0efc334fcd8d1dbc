// Reading lecture files: what a sound one becomes, and what is said of a faulty one.

#include <catch2/catch.hpp>
#include <filesystem>
#include <sstream>

#include "support/error_text.h"
#include "support/file_bytes.h"
#include "support/protocols/example_lecture.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const std::string kFaulty = ISOSEAM_SOURCE_DIR "/tests/protocols/lectures/faulty/";

std::string without(std::string text, const std::string& piece) {
    for (std::size_t place = text.find(piece); place != std::string::npos; place = text.find(piece))
        text.erase(place, piece.size());
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

template <class Content>
const Content& content(const Lecture& lecture, std::size_t scene) {
    return std::get<Content>(lecture.scenes.at(scene).content);
}

}  // namespace

// Each file is named after its defect and ends with what must be said of it: every fault, in the order of
// lines.
TEST_CASE("a faulty lecture gets all its messages, each with its place, its key and a way out") {
    int files = 0;
    for (const auto& file : std::filesystem::directory_iterator(kFaulty)) {
        if (file.path().extension() != ".yaml")
            continue;
        ++files;
        INFO(file.path().filename());
        std::string told;
        for (const Fault& fault : check_lecture(file.path().string(), {}).faults)
            told += to_string(fault) + "\n";
        told = without(without(told, kFaulty), ISOSEAM_SOURCE_DIR "/");
        const std::string expected = expected_faults(file_bytes(file.path().string()));
        REQUIRE_FALSE(expected.empty());
        CHECK(told == expected);
    }
    CHECK(files == 15);
}

TEST_CASE("every key of a sound lecture arrives where it belongs") {
    const Lecture lecture = parse_lecture(kExampleLecture, "folder/example.yaml");
    CHECK(lecture.stage.title == "Example");
    CHECK(text_in(lecture, lecture.title, "de") == "Beispiel");
    CHECK(text_in(lecture, lecture.closing, "de") == "bye");
    CHECK(lecture.stage.languages == std::vector<std::string>{"en", "de"});
    CHECK(lecture.stage.observer.field.degrees() == 10.0);
    CHECK(lecture.stage.blocks.empty());
    CHECK(lecture.stage.conditions.empty());
    std::string kinds;
    std::string titles;
    for (const Scene& scene : lecture.scenes) {
        kinds += kind_of(scene) + " ";
        titles += title_of(lecture, scene, "de") + ", ";
    }
    CHECK(kinds == "card field question slider steer reveal reveal ");
    CHECK(titles == "Hallo, Schau, Welches, how wide, mix it, why, two lines, ");

    CHECK(text_in(lecture, content<CardScene>(lecture, 0).text, "de") ==
          std::vector<std::string>{"eins", "zwei"});
    CHECK(lecture.scenes[1].field->halves[1]->text() == "violet");
    CHECK(text_in(lecture, lecture.scenes[1].say, "de") == std::vector<std::string>{"just look"});
    CHECK(text_in(lecture, lecture.scenes[1].notes, "en") == std::vector<std::string>{"take your time"});
    const auto& question = content<QuestionScene>(lecture, 2);
    CHECK(question.choices.size() == 3);
    CHECK(text_in(lecture, question.choices[0], "de") == "erstes");
    CHECK(question.right == 1);
    CHECK(content<SliderScene>(lecture, 3).words.start == 0.25);

    const auto& steer = content<SteerScene>(lecture, 4);
    CHECK(steer.half == Half::second);
    REQUIRE(steer.mix.size() == 2);
    CHECK(steer.mix[1].text() == "violet");
    REQUIRE(steer.sliders.size() == 2);
    CHECK(steer.sliders[0].controls == SteeringSlider::Controls::share);
    CHECK(steer.sliders[0].from == 0.0);
    CHECK(steer.sliders[0].to == 1.0);
    CHECK(steer.sliders[1].controls == SteeringSlider::Controls::amount);
    CHECK(steer.sliders[1].words.start == 0.5);
    CHECK(steer.sliders[1].value_at(0.25) == 0.75);
    CHECK_FALSE(lecture.scenes[4].field->halves[1]);

    CHECK(content<RevealScene>(lecture, 5).of == 4);
    const auto& lines = content<RevealScene>(lecture, 6);
    CHECK(lines.lights.size() == 2);
    CHECK(lines.cones == std::array<bool, 3>{true, true, false});
    CHECK(lines.spectra == RevealScene::Spectra::described);
}

TEST_CASE("a language that a lecture has not gets the usual one, and one text serves all") {
    const Lecture lecture = parse_lecture(kExampleLecture, "example.yaml");
    CHECK(text_in(lecture, lecture.title, "fr") == "Example");
    CHECK(text_in(lecture, lecture.title, "") == "Example");
    CHECK(text_in(lecture, Words{}, "de").empty());
}

TEST_CASE("scenes ask, or they do not") {
    const Lecture lecture = parse_lecture(kExampleLecture, "example.yaml");
    std::vector<bool> asking;
    std::vector<std::size_t> sliders;
    for (const Scene& scene : lecture.scenes) {
        asking.push_back(asks(scene));
        sliders.push_back(sliders_of(scene).size());
    }
    CHECK(asking == std::vector<bool>{false, false, true, true, true, false, false});
    CHECK(sliders == std::vector<std::size_t>{0, 0, 0, 1, 2, 0, 0});
}

TEST_CASE("forty scenes are a lecture, and forty-one are too many") {
    const std::string start = kExampleLecture.substr(0, kExampleLecture.find("scenes:"));
    const auto with_scenes = [&](int count) {
        std::string text = start + "scenes:\n";
        for (int i = 1; i <= count; ++i)
            text += "  - {name: scene_" + std::to_string(i) + ", field: {left: grey, right: violet}}\n";
        return text;
    };
    CHECK(parse_lecture(with_scenes(40), "example.yaml").scenes.size() == 40);
    CHECK_THAT(input_error_text([&] { parse_lecture(with_scenes(41), "example.yaml"); }),
               Catch::Contains("scenes: 41 scenes; write 1 to 40"));
}

TEST_CASE("halves have the names that the split gives them") {
    const std::string text =
        lecture_with({{"  left: screen\n  right: screen", "  upper: screen\n  lower: screen"},
                      {"split: vertical", "split: horizontal"},
                      {"left: grey, right: violet", "upper: grey, lower: violet"},
                      {"left: grey, right: pinkish", "upper: grey, lower: pinkish"},
                      {"half: right", "half: upper"},
                      {"field: {left: grey}", "field: {lower: grey}"}});
    const Lecture lecture = parse_lecture(text, "example.yaml");
    CHECK(content<SteerScene>(lecture, 4).half == Half::first);
    CHECK(lecture.scenes[4].field->halves[1]->text() == "grey");
}

TEST_CASE("a kept lecture is read without its files") {
    const std::string text =
        lecture_with({{"violet: contrast S 60 % from grey", "violet: spectrum lamp.csv"}});
    const Lecture lecture = parse_lecture(text, "gone/example.yaml", {{"lamp.csv", "400,1\n700,2\n"}});
    CHECK(lecture.stage.spectrum_files.at("lamp.csv") == "400,1\n700,2\n");
    CHECK_THAT(input_error_text([&] { parse_lecture(text, "gone/example.yaml"); }),
               Catch::Contains("lamp.csv"));
}

// What JSON cannot carry must not come as far as a phone. The hostile bytes are those that RFC 3629 rules
// out: a lone byte of Latin 1, an overlong form, a surrogate, beyond U+10FFFF, a character cut short.
TEST_CASE("a lecture that is not UTF-8 is refused at its line") {
    for (const char* hostile : {"\xfc", "\xc0\xaf", "\xed\xa0\x80", "\xf4\x90\x80\x80", "\xe2\x82"}) {
        const std::string text = lecture_with({{"Beispiel", std::string("Beispiel ") + hostile}});
        CHECK(input_error_text([&] { parse_lecture(text, "example.yaml"); }) ==
              "example.yaml:2: is not UTF-8 text; save it as UTF-8");
    }
    const std::string sound = lecture_with({{"Beispiel", "Prüfung € \xf0\x9f\x8c\x88 \xed\x9f\xbf"}});
    CHECK(text_in(parse_lecture(sound, "example.yaml"), parse_lecture(sound, "example.yaml").title, "de") ==
          "Prüfung € \xf0\x9f\x8c\x88 \xed\x9f\xbf");
}
