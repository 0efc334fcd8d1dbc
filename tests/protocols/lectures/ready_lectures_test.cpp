// The lectures that come with the program: sound, in both languages, and kind to the class.

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <set>

#include "support/file_bytes.h"
#include "support/protocols/example_lecture.h"
#include "support/published_table.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// For one scope.
class LectureFolder {
  public:
    explicit LectureFolder(const std::string& path) { ::setenv("ISOSEAM_LECTURE_LIBRARY", path.c_str(), 1); }
    LectureFolder(const LectureFolder&) = delete;
    LectureFolder& operator=(const LectureFolder&) = delete;
    ~LectureFolder() { ::unsetenv("ISOSEAM_LECTURE_LIBRARY"); }
};

// Every text of a lecture that is words rather than a number, with its place.
struct TextsOf {
    const Lecture& lecture;
    std::vector<std::pair<std::string, Words>> words;
    std::vector<std::pair<std::string, Paragraphs>> paragraphs;

    explicit TextsOf(const Lecture& of) : lecture(of) {
        words = {{"title", of.title}, {"closing", of.closing}};
        for (const Scene& scene : of.scenes)
            add(scene);
    }
    void add(const Scene& scene) {
        paragraphs.emplace_back(scene.name + " say", scene.say);
        paragraphs.emplace_back(scene.name + " notes", scene.notes);
        if (scene.field)
            words.emplace_back(scene.name + " caption", scene.field->caption);
        if (const auto* card = std::get_if<CardScene>(&scene.content)) {
            words.emplace_back(scene.name, card->heading);
            paragraphs.emplace_back(scene.name, card->text);
        }
        if (const auto* reveal = std::get_if<RevealScene>(&scene.content)) {
            words.emplace_back(scene.name, reveal->heading);
            paragraphs.emplace_back(scene.name, reveal->text);
        }
        if (const auto* question = std::get_if<QuestionScene>(&scene.content))
            words.emplace_back(scene.name, question->ask);
        for (const SliderWords* slider : sliders_of(scene))
            words.emplace_back(scene.name, slider->ask);
    }
};

}  // namespace

TEST_CASE("the ready lectures are listed by name with their titles") {
    std::vector<std::string> names;
    for (const ReadyLecture& ready : ready_lectures()) {
        names.push_back(ready.name);
        CHECK_THAT(ready.title, !Catch::Contains("does not read"));
    }
    CHECK(names == std::vector<std::string>{"one_light_or_two", "one_receptor", "the_screen_is_a_mixture",
                                            "three_receptors", "two_receptors", "two_screens_two_eyes"});
}

TEST_CASE("every ready lecture can be shown as it is, with room to the gamut's border") {
    constexpr double kLeastMargin = 0.01;
    for (const ReadyLecture& ready : ready_lectures()) {
        INFO(ready.name);
        const LectureReport report = check_lecture(ready.path, {});
        for (const Fault& fault : report.faults)
            FAIL_CHECK(to_string(fault));
        for (const LectureReport::SceneReport& scene : report.scenes) {
            INFO(scene.name);
            CHECK(scene.margin.value_or(0.5) > kLeastMargin);
        }
        for (const std::string& caution : report.cautions)
            CHECK_THAT(caution, !Catch::Contains("is never used") && !Catch::Contains("would fit"));
    }
}

TEST_CASE("every ready lecture predicts, sees, measures and explains") {
    for (const ReadyLecture& ready : ready_lectures()) {
        INFO(ready.name);
        std::set<std::string> kinds;
        bool shows = false;
        for (const Scene& scene : read_lecture(ready.path).scenes) {
            kinds.insert(kind_of(scene));
            shows = shows || scene.field;
        }
        CHECK(kinds.count("question") == 1);
        CHECK(shows);
        CHECK(kinds.count("steer") == 1);
        CHECK(kinds.count("reveal") == 1);
    }
}

TEST_CASE("every text of a ready lecture says something of its own in English and in German") {
    int texts = 0;
    for (const ReadyLecture& ready : ready_lectures()) {
        INFO(ready.name);
        const Lecture lecture = read_lecture(ready.path);
        CHECK(lecture.stage.languages == std::vector<std::string>{"en", "de"});
        const TextsOf all(lecture);
        for (const auto& [place, words] : all.words) {
            INFO(place);
            if (words.empty())
                continue;
            CHECK(text_in(lecture, words, "en") != text_in(lecture, words, "de"));
            ++texts;
        }
        for (const auto& [place, paragraphs] : all.paragraphs) {
            INFO(place);
            const auto english = text_in(lecture, paragraphs, "en");
            const auto german = text_in(lecture, paragraphs, "de");
            REQUIRE(english.size() == german.size());
            for (std::size_t i = 0; i < english.size(); ++i) {
                CHECK(english[i] != german[i]);
                CHECK(english[i].size() < 320);  // read on a phone
                ++texts;
            }
        }
    }
    CHECK(texts > 150);
}

// Each is told at the beginning, so that nobody feels examined.
TEST_CASE("every ready lecture says that it is no test of anybody's eyes") {
    for (const ReadyLecture& ready : ready_lectures()) {
        INFO(ready.name);
        const std::string text = file_bytes(ready.path);
        CHECK_THAT(text, Catch::Contains("o test of") && Catch::Contains("ein Test"));
    }
}

// The places that the notes name for the mean eye's match.
TEST_CASE("the class can find the matches that the lecturer's notes promise") {
    const auto alike_at = [](const std::string& lecture, const std::string& scene,
                             const std::vector<double>& positions) {
        for (const ReadyLecture& ready : ready_lectures()) {
            if (ready.name != lecture)
                continue;
            const LectureSetup setup = lecture_setup_of(file_bytes(ready.path), ready.path);
            for (int i = 0; i < static_cast<int>(setup.lecture().scenes.size()); ++i) {
                const Scene& asked = setup.lecture().scenes[static_cast<std::size_t>(i)];
                const auto* reveal = std::get_if<RevealScene>(&asked.content);
                if (reveal != nullptr && reveal->of >= 0 &&
                    setup.lecture().scenes[static_cast<std::size_t>(reveal->of)].name == scene)
                    return setup.reveal(i, positions).pairs.at(0).nominal.is_alike();
            }
        }
        return false;
    };
    CHECK(alike_at("two_receptors", "share_alone", {0.385}));
    CHECK_FALSE(alike_at("two_receptors", "share_alone", {0.45}));
    CHECK(alike_at("three_receptors", "forge", {0.45, 0.5}));
    CHECK(alike_at("one_light_or_two", "find_the_match", {0.4, 0.5}));
    CHECK_FALSE(alike_at("one_light_or_two", "find_the_match", {0.5, 0.5}));
    CHECK(alike_at("the_screen_is_a_mixture", "mix_it", {0.5, 0.57}));
    CHECK(alike_at("two_screens_two_eyes", "find_a_match", {0.5}));
}

// Held against the published cone fundamentals (CIE 170-1:2006, 10 degrees, 32 years) by sums over the lines
// alone.
TEST_CASE("the spectral lines that reveals call a match excite L and M alike by the published table") {
    const PublishedRows table = published_table("cone_fundamentals_energy_10deg_32y.csv");
    const auto caught = [&](const Spectrum& spectrum, std::size_t cone) {
        double sum = 0.0;
        for (const Spectrum::Line& line : spectrum.lines()) {
            const auto row = std::find_if(table.begin(), table.end(),
                                          [&](const auto& cells) { return cells.at(0) == line.nm; });
            REQUIRE(row != table.end());
            sum += line.radiance_w_sr_m2 * row->at(1 + cone);
        }
        return sum;
    };
    constexpr double kDigitsWritten = 1e-3;  // the amounts stand in the files with four digits
    int matches = 0;
    for (const ReadyLecture& ready : ready_lectures()) {
        const LectureSetup setup = lecture_setup_of(file_bytes(ready.path), ready.path);
        for (int i = 0; i < static_cast<int>(setup.lecture().scenes.size()); ++i) {
            const auto* reveal =
                std::get_if<RevealScene>(&setup.lecture().scenes[static_cast<std::size_t>(i)].content);
            if (reveal == nullptr || reveal->spectra != RevealScene::Spectra::described ||
                reveal->lights.size() != 2)
                continue;
            INFO(ready.name);
            ++matches;
            const std::vector<RevealedLight> lights = setup.reveal(i).lights;
            CHECK(lights[0].spectrum.lines().size() == 1);
            CHECK(lights[1].spectrum.lines().size() == 2);
            for (const std::size_t cone : {0U, 1U})
                CHECK(caught(lights[1].spectrum, cone) ==
                      Approx(caught(lights[0].spectrum, cone)).epsilon(kDigitsWritten));
        }
    }
    CHECK(matches == 3);
}

TEST_CASE("another folder of ready lectures can be named, and a file that does not read says why") {
    const TemporaryFolder folder;
    write_file(folder.file("mine.yaml"), kExampleLecture);
    write_file(folder.file("broken.yaml"), "isoseam_lecture: 3\n");
    const LectureFolder chosen(folder.path());
    const std::vector<ReadyLecture> ready = ready_lectures();
    REQUIRE(ready.size() == 2);
    CHECK(ready[0].title.find("does not read: ") == 0);
    CHECK_THAT(ready[0].title, Catch::Contains("version '3' of the language of lectures"));
    CHECK(ready[1].title == "Example");
}

TEST_CASE("a missing folder of ready lectures is told with a way out") {
    const LectureFolder chosen("/nowhere");
    CHECK_THROWS_WITH(
        ready_lectures(),
        "the folder of ready lectures, /nowhere, cannot be read: No such file or directory; set "
        "ISOSEAM_LECTURE_LIBRARY to the folder protocols/lectures/library of Isoseam");
}
