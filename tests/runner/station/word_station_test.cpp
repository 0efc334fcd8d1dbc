#include "runner/station/word_station.h"

#include <unistd.h>

#include <catch2/catch.hpp>

#include "support/error_text.h"
#include "support/seats/flicker_run.h"
#include "support/seats/moments.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// A station that has these words to read, and then the end of the stream.
class WordsToRead {
  public:
    explicit WordsToRead(const std::string& words) {
        REQUIRE(pipe(ends_.data()) == 0);
        REQUIRE(write(ends_[1], words.data(), words.size()) == static_cast<ssize_t>(words.size()));
        close(ends_[1]);
    }
    ~WordsToRead() { close(ends_[0]); }
    WordsToRead(const WordsToRead&) = delete;
    WordsToRead& operator=(const WordsToRead&) = delete;
    int descriptor() const { return ends_[0]; }

  private:
    std::array<int, 2> ends_{};
};

constexpr double kPatienceSeconds = 1.0;

TrialResponse answer_of(Station& station) {
    const Action action = station.wait(kPatienceSeconds);
    REQUIRE(std::holds_alternative<Answered>(action));
    return std::get<Answered>(action).response;
}

}  // namespace

TEST_CASE("words answer trials of every form, choose and type, and the end of the stream leaves") {
    const Setup setup = one_screen_setup();
    const WordsToRead words("no different upper-left second rating-10 down choose-2 accept type-35.5 accept");
    WordStation station(setup, words.descriptor());
    station.expect(asking(AnswerForm::yes_no));
    CHECK(answer_of(station).kind == TrialResponse::Kind::no);
    station.expect(asking(AnswerForm::same_different));
    CHECK(answer_of(station).kind == TrialResponse::Kind::different);
    station.expect(asking_where({"upper left", "upper right", "lower left", "lower right"}));
    CHECK(answer_of(station).value == 0);
    station.expect(asking_where({"first", "second"}));
    CHECK(answer_of(station).value == 1);
    station.expect(rating(10));
    CHECK(answer_of(station).value == 10);
    station.expect(choosing(3));
    CHECK(std::get<Moved>(station.wait(kPatienceSeconds)).by == 1);
    CHECK(std::get<Typed>(station.wait(kPatienceSeconds)).character == '2');
    CHECK(std::holds_alternative<Accepted>(station.wait(kPatienceSeconds)));
    station.expect(typing(0.0, 99.0));
    std::string typed;
    Action action = station.wait(kPatienceSeconds);
    for (; std::holds_alternative<Typed>(action); action = station.wait(kPatienceSeconds))
        typed += std::get<Typed>(action).character;
    CHECK(typed == "35.5");
    CHECK(std::holds_alternative<Accepted>(action));
    CHECK(station.take_ignored_presses() == 0);
    CHECK(std::holds_alternative<Escaped>(station.wait(kPatienceSeconds)));
}

TEST_CASE("a known word at the wrong moment is ignored and counted") {
    const Setup setup = one_screen_setup();
    const WordsToRead words("left coarse yes rating-3 type-5 accept coarse right right pageup escape");
    WordStation station(setup, words.descriptor());
    CHECK(std::holds_alternative<Accepted>(station.wait(kPatienceSeconds)));
    CHECK(station.take_ignored_presses() == 5);
    station.expect(adjusting(2));
    CHECK(std::get<StepTaken>(station.wait(kPatienceSeconds)).coarse);
    CHECK_FALSE(std::get<StepTaken>(station.wait(kPatienceSeconds)).coarse);
    CHECK(std::holds_alternative<Escaped>(station.wait(kPatienceSeconds)));
    CHECK(station.take_ignored_presses() == 1);
}

TEST_CASE("while nothing is expected no word is taken, so that an answer waits for its question") {
    const Setup setup = one_screen_setup();
    const WordsToRead words("yes");
    WordStation station(setup, words.descriptor());
    station.expect(ExpectNothing{});
    CHECK(std::holds_alternative<NoAction>(station.wait(0.02)));
    station.expect(asking(AnswerForm::yes_no));
    CHECK(answer_of(station).kind == TrialResponse::Kind::yes);
    CHECK(station.take_ignored_presses() == 0);
}

TEST_CASE("a word that never means anything is told with those that do now") {
    const Setup setup = one_screen_setup();
    const auto fault = [&](const Expected& moment, const std::string& word) {
        const WordsToRead words(word);
        WordStation station(setup, words.descriptor());
        station.expect(moment);
        return input_error_text([&] { station.wait(kPatienceSeconds); });
    };
    CHECK(fault(asking_where({"left", "right"}), "lft") ==
          "standard input: unknown word 'lft'; write one of: left, right, escape");
    CHECK(fault(adjusting(1), "rating-11") ==
          "standard input: unknown word 'rating-11'; write one of: left, right, accept, escape, coarse");
    CHECK(fault(typing(0.0, 1.0), "type-") ==
          "standard input: unknown word 'type-'; write one of: accept, escape, type-NUMBER");
}
