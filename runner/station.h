#pragma once
// Where an observer sits: what shows lights and pages, and what hears responses. The session flow knows
// nothing else of screens, keys or clocks, so that a person, a script and a simulated observer run through
// the very same flow.

#include <array>
#include <string>
#include <vector>

#include "calibration/display_model.h"
#include "protocols/procedures/adjustment.h"
#include "protocols/protocol.h"
#include "results_schema/records.h"

namespace isoseam {

// Words for the participant, without any number of the experiment.
struct Instruction {
    std::string heading;
    std::vector<std::string> paragraphs;
    std::string foot;
};

// What the observer did.
struct Action {
    enum class Kind {
        none,    // nothing within the time waited
        step,    // `step` says which way
        accept,  // "both halves look the same", or "go on" on a page
        escape,  // the first of two
    };
    Kind kind = Kind::none;
    AdjustmentResponse step;
};

// A bipartite field as the flow asks for it: the light of each half on its own source. The station adds the
// surround and the fixation mark, which do not change during a session.
struct FieldLights {
    std::array<LinearDrive, 2> halves;  // by Half; in gamut
};

class Station {
  public:
    virtual ~Station() = default;

    // One per source of the rig.
    virtual std::vector<SourceRecord> sources() const = 0;
    virtual std::vector<ScreenRecord> screens() const = 0;

    virtual void show_page(const Instruction& page) = 0;
    // The adaptation light over the whole field; `left` falls from 1 to 0 as a bar.
    virtual void show_adaptation(double left) = 0;
    // Returns the time of the first frame (now_s()'s clock).
    virtual double show_field(const FieldLights& lights) = 0;
    // Waits at most timeout_s for the observer.
    virtual Action wait(double timeout_s) = 0;
    virtual double now_s() = 0;

    // Drops what was pressed before now, so that a key held over from a page does not move a light.
    virtual void forget_presses() = 0;
};

// The codes' depth on one source.
int bits_of(const Station& station, int source);

}  // namespace isoseam
