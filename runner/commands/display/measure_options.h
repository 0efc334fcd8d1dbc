#pragma once
// The words of 'isoseam display measure', and what is made from them: a plan and an instrument.

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "calibration/instruments/instrument.h"
#include "calibration/instruments/typed_instrument.h"
#include "calibration/measuring/measuring_plan.h"
#include "runner/measuring/patch_screen.h"

namespace isoseam {

class Command;

// The words that were given, by the name of their option without dashes ("plan" -> "full"). A measurement
// keeps them, so that --resume alone is enough to go on with it. A word that is given then takes the place of
// the one that was kept.
class MeasureWords {
  public:
    void add_options_to(Command* command);
    // A kept word that would run a program, open a device, or say what is sent to it. Whoever made the folder
    // chose this word, and that may be a stranger.
    struct ForeignWord {
        std::string name;  // of its option: "command", "port" or "dialect"
        std::string kept;
        std::optional<std::string> given;  // what was given now, if anything
    };
    // Takes from `kept` every word that was not given now. Returns the foreign words of the instrument that
    // is used.
    std::vector<ForeignWord> set_kept(const std::vector<std::pair<std::string, std::string>>& kept);
    std::vector<std::pair<std::string, std::string>> all() const;

    bool has(const std::string& name) const { return words_.contains(name); }
    std::string word(const std::string& name, const std::string& otherwise = "") const;

    // The InputErrors have the option as key.
    PlanOptions plan() const;
    // `ask` is how a person is asked for typed readings.
    std::unique_ptr<Instrument> instrument(const TypedInstrument::Ask& ask) const;
    PatchScreenOptions screen(int bits) const;
    double settle_s() const;

  private:
    void require_words_of(const std::string& kind) const;

    std::map<std::string, std::string> words_;
};

}  // namespace isoseam
