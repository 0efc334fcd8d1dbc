#include "runner/station/phrases.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>

#include "base/yaml_reader.h"
#include "support/error_text.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// A folder with one language: the English one after a replacement.
class OwnPhrases {
  public:
    OwnPhrases(const std::string& replaced, const std::string& by) {
        std::string text = read_text_file(ISOSEAM_SOURCE_DIR "/runner/phrases/en.yaml");
        const std::size_t at = text.find(replaced);
        REQUIRE(at != std::string::npos);
        text.replace(at, replaced.size(), by);
        std::ofstream(folder_.file("xx.yaml")) << text;
        setenv("ISOSEAM_PHRASES", folder_.path().c_str(), 1);
    }
    ~OwnPhrases() { unsetenv("ISOSEAM_PHRASES"); }
    OwnPhrases(const OwnPhrases&) = delete;
    OwnPhrases& operator=(const OwnPhrases&) = delete;

    std::string fault() const {
        return input_error_text([] { Phrases::read("xx"); });
    }

  private:
    TemporaryFolder folder_;
};

int count(const std::string& text, char character) {
    return static_cast<int>(std::count(text.begin(), text.end(), character));
}

}  // namespace

TEST_CASE("every language says everything, with the same blanks to fill in and the same keys in its feet") {
    CHECK(phrase_languages() == std::vector<std::string>{"de", "en"});
    const Phrases english = Phrases::read("en");
    for (const std::string& language : phrase_languages()) {
        const Phrases phrases = Phrases::read(language);
        CHECK(phrases.language() == language);
        for (const std::string& id : Phrases::ids()) {
            CAPTURE(language, id);
            CHECK(count(phrases(id), '{') == count(english(id), '{'));
            CHECK(count(phrases(id), '[') == count(english(id), '['));
            CHECK(count(phrases(id), ']') == count(phrases(id), '['));
        }
    }
    CHECK(english("paused_heading") == "Paused");
    CHECK(Phrases::read("de")("name") == "Deutsch");
    CHECK(fmt::format(fmt::runtime(english("number_range")), 20, 80) == "A number from 20 to 80");
}

TEST_CASE("what is wrong with a language's file is told at its line") {
    CHECK_THAT(OwnPhrases("paused_heading", "pausd_heading").fault(),
               Catch::Contains("xx.yaml:9:1: unknown key 'pausd_heading'; did you mean 'paused_heading'?") &&
                   Catch::Contains("paused_heading: is missing"));
    CHECK_THAT(OwnPhrases("\"Yes\"", "\" \"").fault(),
               Catch::Contains("yes: there is nothing to say; write what to say to a participant"));
    CHECK_THAT(OwnPhrases("from {} to {}", "up to {}").fault(),
               Catch::Contains("number_range: 'A number up to {}' has not 2 times {}; write {} where the "
                               "program fills something in"));
    CHECK_THAT(OwnPhrases("\"Yes\"", "\"Yes {0}\"").fault(),
               Catch::Contains("yes: 'Yes {0}' has not 0 times {}; leave braces out"));
}

TEST_CASE("a language that there is no file for is told with those that there are") {
    CHECK(input_error_text([] { Phrases::read("fr"); }) ==
          "language: there are no phrases in the language 'fr'; write one of: de, en");
    CHECK(input_error_text([] { Phrases::read("../phrases/en"); }) != "no error");
    setenv("ISOSEAM_PHRASES", "/nowhere", 1);
    CHECK_THROWS_WITH(phrase_languages(),
                      Catch::Contains("the folder of phrases, /nowhere, cannot be read") &&
                          Catch::Contains("set ISOSEAM_PHRASES to the folder runner/phrases"));
    unsetenv("ISOSEAM_PHRASES");
}
