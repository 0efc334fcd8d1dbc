#pragma once
// A station whose participant does what is expected, unless the test says otherwise, and remembers what was
// shown.

#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "protocols/setup/setup.h"
#include "runner/station/station.h"
#include "runner/station/word_station.h"

namespace isoseam::test {

class ObedientStation : public Station {
  public:
    explicit ObedientStation(const Setup& setup) : setup_(setup) {}

    std::vector<SourceRecord> sources() const override {
        std::vector<SourceRecord> sources = sources_as_calibrated(setup_);
        for (SourceRecord& source : sources)
            source.dither = "ordered";
        return sources;
    }
    std::vector<ScreenRecord> screens() const override { return {}; }
    void show_page(const Instruction& page) override {
        pages.push_back(page);
        shown.push_back("page: " + page.heading);
    }
    void show_adaptation(double) override {
        if (shown.empty() || shown.back() != "adaptation")
            shown.emplace_back("adaptation");
    }
    double show_field(const FieldLights& lights) override {
        fields.push_back(lights);
        shown.emplace_back("field");
        return clock_s;
    }
    Action wait(double timeout_s) override {
        if (std::holds_alternative<ExpectNothing>(expected)) {
            clock_s += timeout_s;
            return escape_in_countdown && escape_in_countdown-- == 1 ? Action(Escaped{}) : NoAction{};
        }
        clock_s += 1.0;
        if (instead) {
            if (const std::optional<Action> action = instead(expected))
                return *action;
        }
        return obedient();
    }
    double now_s() override { return clock_s; }
    void forget_presses() override {}
    void expect(const Expected& what) override { expected = what; }
    int take_ignored_presses() override { return std::exchange(ignored, 0); }
    void use_language(const std::string& code) override { language = code; }
    void sound(Sound sound) override { sounds.push_back(sound); }

    // What the participant does before anything else, or nothing.
    std::function<std::optional<Action>(const Expected&)> instead;
    std::function<TrialResponse(const ExpectAnswer&)> answers = [](const ExpectAnswer& asked) {
        TrialResponse response;
        response.kind = asked.form == AnswerForm::place    ? TrialResponse::Kind::place
                        : asked.form == AnswerForm::rating ? TrialResponse::Kind::rating
                        : asked.form == AnswerForm::yes_no ? TrialResponse::Kind::yes
                                                           : TrialResponse::Kind::different;
        response.value = asked.form == AnswerForm::rating ? 1 : 0;
        return response;
    };
    Expected expected;
    std::vector<std::string> shown;
    std::vector<Instruction> pages;
    std::vector<FieldLights> fields;
    std::vector<Sound> sounds;
    std::string language;
    int ignored = 0;
    int escape_in_countdown = 0;  // the how-manieth wait of a countdown gives an escape; 0: none
    double clock_s = 100.0;

  private:
    Action obedient() {
        if (const auto* const asked = std::get_if<ExpectAnswer>(&expected))
            return Answered{answers(*asked)};
        if (std::holds_alternative<ExpectChoice>(expected) && !answered_) {
            answered_ = true;
            return Typed{'1'};
        }
        if (std::holds_alternative<ExpectNumber>(expected) && !answered_) {
            answered_ = true;
            return Typed{'7'};
        }
        answered_ = false;
        return Accepted{};
    }

    const Setup& setup_;
    bool answered_ = false;
};

}  // namespace isoseam::test
