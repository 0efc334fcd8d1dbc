#pragma once
// A session without a screen, steered by words on a stream: for scripts, and for trying a protocol over a
// remote line.
//
//   left right down up pagedown pageup    a fine step along the 1st, 2nd or 3rd axis
//   coarse                                makes the next step a coarse one
//   accept                                go on, accept the match, the choice or the number
//   escape                                pause; a second one leaves
//   yes no same different                 answers
//   left, upper-left, first ...           the place, or interval, by its name
//   rating-3                              a category
//   up down choose-2                      in a list of choices
//   type-35.5                             characters of a number
//
// Words are taken one by one as the session asks for them. No word is taken during an adaptation and while
// nothing is expected. A word that means nothing now is ignored and counted; one that never means anything is
// an InputError. The end of the stream leaves the session.

#include <deque>
#include <string>

#include "protocols/setup/setup.h"
#include "runner/station/station.h"

namespace isoseam {

class WordStation : public Station {
  public:
    // Reads the file descriptor. `setup` outlives the station.
    WordStation(const Setup& setup, int descriptor) : setup_(setup), descriptor_(descriptor) {}

    std::vector<SourceRecord> sources() const override;
    std::vector<ScreenRecord> screens() const override { return {}; }
    void show_page(const Instruction&) override { adapting_ = false; }
    void show_adaptation(double) override { adapting_ = true; }
    double show_field(const FieldLights&) override {
        adapting_ = false;
        return now_s();
    }
    Action wait(double timeout_s) override;
    double now_s() override;
    void forget_presses() override {}
    void expect(const Expected& expected) override;
    int take_ignored_presses() override;

  private:
    bool next_word(double timeout_s, std::string& word);
    Action meaning_of(const std::string& word);
    Action next_typed();

    const Setup& setup_;
    int descriptor_;
    Expected expected_;
    std::string pending_;
    std::deque<char> typed_;  // characters of the last word that are still to be handed out
    bool ended_ = false;
    bool coarse_ = false;
    bool adapting_ = false;  // while an adaptation is shown, no word is taken
    int ignored_ = 0;
};

// The sources of a station without screens are as they were calibrated.
std::vector<SourceRecord> sources_as_calibrated(const Setup& setup);

}  // namespace isoseam
