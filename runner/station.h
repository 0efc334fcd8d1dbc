#pragma once
// Where an observer sits: what shows lights and pages, and what hears responses. The session flow knows
// nothing else of screens, keys or clocks, so that a person, a script and a simulated observer run through
// the very same flow.

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "calibration/display_model.h"
#include "protocols/procedures/adjustment.h"
#include "protocols/protocol.h"
#include "results_schema/records.h"
#include "stimuli/frame_watch.h"

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
        none,         // nothing within the time waited
        step,         // `step` says which way
        accept,       // "both halves look the same", or "go on" on a page
        escape,       // the first of two
        interrupted,  // something keeps the observer from seeing or answering: `reason` says what; told once
        ended,        // a presentation has shown its last frame
    };
    Kind kind = Kind::none;
    AdjustmentResponse step;
    std::string reason = {};  // in plain words for the record
};

// A bipartite field as the flow asks for it: the light of each half on its own source. The station adds the
// surround and the fixation mark, which do not change during a session.
struct FieldLights {
    std::array<LinearDrive, 2> halves;  // by Half; in gamut
    std::int64_t frame = 0;             // its number in a presentation of many frames
    int odd_quadrant = 0;               // of a field of quadrants: which one is the second light's
};

// A stimulus of many frames, one to a refresh of the screen.
struct Presentation {
    std::function<FieldLights(std::int64_t frame)> lights;  // follows from the number alone
    FieldLights compared;                   // what the observer compares, for stations that show no frames
    std::optional<std::int64_t> end_frame;  // the first that is not shown; none: until stopped
    // By the clock, since the first frame or the last pause: ends it too, however few frames were shown. For
    // what must not go on for longer, such as flicker.
    std::optional<double> longest_s{};
};

// How far a presentation has come. It is carried on by handing it to show_presentation again; frames that
// come late because of what went on in between count as late.
struct PresentationProgress {
    std::int64_t next_frame = 0;
    FrameCounts frames;
    std::optional<FrameWatch> watch;
    std::optional<double> began_s;  // of the first frame since the last pause
    double first_frame_s = 0.0;     // of the first frame of all (now_s()'s clock)

    // After a pause: the next frame is due whenever it comes.
    void pause() {
        watch.reset();
        began_s.reset();
    }
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
    // Shows frames until the observer acts, the presentation ends or an interruption comes. The observer is
    // heard at every frame, and from the frame after an escape or an interruption the field is gone. A
    // station without frames shows what is compared, counts none, and waits.
    virtual Action show_presentation(const Presentation& presentation, PresentationProgress& progress);
    // What keeps the observer from seeing or answering, in plain words; nothing while all is well. Mends what
    // the program itself can mend, such as a lost window.
    virtual std::optional<std::string> interruption() { return std::nullopt; }
    virtual double now_s() = 0;

    // Drops what was pressed before now, so that a key held over from a page does not move a light.
    virtual void forget_presses() = 0;
};

// How finely one source shows light.
FrameDepth depth_of(const Station& station, int source);

}  // namespace isoseam
