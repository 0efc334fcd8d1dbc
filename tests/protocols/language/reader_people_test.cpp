// Texts in several languages, consent, exclusions and questions.

#include <catch2/catch.hpp>

#include "support/error_text.h"
#include "support/protocols/example_protocol.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const std::string kTwoLanguages = kExample +
                                  R"(languages: [en, pt-BR]
consent:
  heading: {en: Taking part, pt-BR: Participar}
  text: {en: [one, two], pt-BR: um}
exclusions:
  - {en: "Are you tired?", pt-BR: "Cansada?"}
  - Have you slept?
questions:
  before:
    - {name: glasses, ask: {en: G, pt-BR: O}, answer: yes_no}
    - {name: eye, ask: Which, answer: [left, right, both]}
  after:
    - name: experience
      ask: How much
      answer: {none: {en: None, pt-BR: Nenhuma}, some: Some}
    - {name: hours, ask: How long, answer: {from: 0.5, to: 24}}
instructions:
  - {heading: {en: H, pt-BR: T}, text: {en: [x, y], pt-BR: [z]}, keys: yes}
closing: {en: bye, pt-BR: tchau}
)";

}  // namespace

TEST_CASE("a text is the language's own, or the one for all") {
    const Protocol protocol = parse_protocol(kTwoLanguages, "example.yaml");
    CHECK(protocol.languages == std::vector<std::string>{"en", "pt-BR"});
    REQUIRE(protocol.consent);
    CHECK(protocol.consent->heading.in("pt-BR") == "Participar");
    CHECK(protocol.consent->paragraphs.in("en") == std::vector<std::string>{"one", "two"});
    CHECK(protocol.consent->paragraphs.in("pt-BR") == std::vector<std::string>{"um"});
    REQUIRE(protocol.exclusions.size() == 2);
    CHECK(protocol.exclusions[0].in("pt-BR") == "Cansada?");
    CHECK(protocol.exclusions[1].in("en") == "Have you slept?");
    REQUIRE(protocol.pages.size() == 1);
    CHECK(protocol.pages[0].keys);
    CHECK(protocol.pages[0].heading.in("pt-BR") == "T");
    CHECK(protocol.pages[0].paragraphs.in("en") == std::vector<std::string>{"x", "y"});
    CHECK(protocol.closing.in("pt-BR") == "tchau");
}

TEST_CASE("questions are yes or no, a choice or a number, before or after") {
    const Protocol protocol = parse_protocol(kTwoLanguages, "example.yaml");
    using Form = ParticipantQuestion::Form;
    REQUIRE(protocol.questions_before.size() == 2);
    REQUIRE(protocol.questions_after.size() == 2);
    const ParticipantQuestion& glasses = protocol.questions_before[0];
    CHECK(glasses.name == "glasses");
    CHECK(glasses.form == Form::yes_no);
    CHECK(glasses.ask.in("pt-BR") == "O");
    const ParticipantQuestion& eye = protocol.questions_before[1];
    CHECK(eye.form == Form::choice);
    REQUIRE(eye.choices.size() == 3);
    CHECK(eye.choices[1].value == "right");
    CHECK(eye.choices[1].label.in("pt-BR") == "right");
    const ParticipantQuestion& experience = protocol.questions_after[0];
    REQUIRE(experience.choices.size() == 2);
    CHECK(experience.choices[0].value == "none");  // in the order of the file
    CHECK(experience.choices[0].label.in("pt-BR") == "Nenhuma");
    CHECK(experience.choices[1].label.in("pt-BR") == "Some");
    const ParticipantQuestion& hours = protocol.questions_after[1];
    CHECK(hours.form == Form::number);
    CHECK(hours.lowest == 0.5);
    CHECK(hours.highest == 24.0);
}

TEST_CASE("the age of the observer can be the participant's") {
    Protocol protocol = parse_protocol(example_with({{"age: 32 years", "age: session"}}), "example.yaml");
    CHECK(protocol.age_from_session);
    set_age(protocol, 45.0);
    CHECK(protocol.observer.age.years() == 45.0);
    Protocol fixed = parse_protocol(kExample, "example.yaml");
    CHECK(input_error_text([&] { set_age(fixed, 45.0); }).find("--age: the protocol example.yaml names") ==
          0);
}
