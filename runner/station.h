#pragma once
// Where an observer sits: what shows lights and pages, and what hears responses. The session flow knows
// nothing else of screens, keys or clocks, so that a person, a script and a simulated observer run through
// the very same flow.

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "calibration/display_model.h"
#include "protocols/procedures/adjustment.h"
#include "protocols/procedures/trial.h"
#include "protocols/protocol.h"
#include "results_schema/records.h"
#include "stimuli/frame_watch.h"
#include "stimuli/ink_picture.h"

namespace isoseam {

// Keys of the seat, and what they do: drawn as keys.
struct KeyHint {
    std::vector<std::string> keys;  // as they are labelled: "Left", "Space"
    std::string meaning;            // in the participant's language
};

// Words for the participant, without any number of the experiment.
struct Instruction {
    std::string heading;
    std::vector<std::string> paragraphs;
    std::string foot;
    std::vector<KeyHint> keys{};
    std::vector<std::string> choices{};  // one below the other, to choose from
    int chosen = -1;                     // the one that stands out; -1: none
    std::string entry{};                 // what was typed so far
    // A drawing in black on light paper, which the page then is; of screen_size_px() at most.
    std::shared_ptr<const InkPicture> picture{};
};

// Lights to tell apart: for observers who are not there.
struct Comparison {
    LinearDrive reference;            // what a place without a target shows
    std::vector<LinearDrive> places;  // what each place, or interval in turn, shows; in gamut
    std::vector<int> source;          // that lights each place
    int reference_source = 0;
};

// What the observer may do now. Anything else that is pressed is ignored, and counted.
struct Expected {
    enum class Kind {
        nothing,     // escape alone
        go_on,       // accept
        adjustment,  // steps along `axes`, and accept
        answer,      // to a trial of this form
        choice,      // move up or down among `choices`, or a digit; accept
        number,      // typed; accept
        browse,      // go on to the next scene of a lecture, or back
    };
    Kind kind = Kind::go_on;
    int axes = 0;
    AnswerForm form = AnswerForm::yes_no;
    std::vector<std::string>
        places{};        // of a place: "left", "upper left", "first" (interval), in their order
    int categories = 0;  // of a rating
    int choices = 0;
    double lowest = 0.0;  // of a number
    double highest = 0.0;
    std::optional<Comparison> comparison{};
    const AdjustmentProblem* problem = nullptr;  // of an adjustment, for observers who are not there
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
        answer,       // to a trial: `answer` says which
        move,         // in a list of choices, or from scene to scene: `move` says which way
        typed,        // a digit, '.', '-', or '\b' that takes back
    };
    Kind kind = Kind::none;
    AdjustmentResponse step;
    std::string reason = {};  // in plain words for the record
    bool asked = false;       // interrupted by the experimenter at the desk: nothing needs mending
    TrialResponse answer{};
    int move = 0;  // -1 up or back, +1 down or on
    char typed = 0;
};

// A bipartite field as the flow asks for it: the light of each half on its own source. The station adds the
// surround and the fixation mark, which do not change during a session.
struct FieldLights {
    std::array<LinearDrive, 2> halves;  // by Half; in gamut
    std::int64_t frame = 0;             // its number in a presentation of many frames
    int odd_quadrant = 0;               // of a field of quadrants: which one is the second light's
    // Of the ring beside each half, on the field's source, where a condition has its own; else the
    // protocol's.
    std::optional<std::array<LinearDrive, 2>> rings{};
    bool mark_hidden = false;  // the fixation mark of a spot is lit like the spot
    // Words below the field, on the screen that shows pages; left out where the field leaves no room.
    std::string caption{};
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

enum class Sound { accepted, interval, right, wrong };

class Station {
  public:
    virtual ~Station() = default;

    // One per source of the rig.
    virtual std::vector<SourceRecord> sources() const = 0;
    virtual std::vector<ScreenRecord> screens() const = 0;
    // How finely one source shows light: by sources(), unless a station knows it at once.
    virtual FrameDepth depth(int source) const;

    virtual void show_page(const Instruction& page) = 0;
    // Of the screen that shows pages; none without one.
    virtual std::optional<std::array<int, 2>> screen_size_px() const { return std::nullopt; }
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

    // The language of what the station says by itself.
    virtual void use_language(const std::string&) {}
    // Whether show_presentation() shows every frame at its time.
    virtual bool shows_frames() const { return false; }
    // What counts from now on. At first: go_on.
    virtual void expect(const Expected&) {}
    // The keys for it, in the participant's language; none where there are no keys.
    virtual std::vector<KeyHint> key_hints(const Expected&) const { return {}; }
    // How many presses were ignored, forgotten ones included, since this was asked last. Auto-repeats of a
    // held key do not count.
    virtual int take_ignored_presses() { return 0; }
    // A short sound, where sounds are switched on.
    virtual void sound(Sound) {}
};

// How finely one source shows light.
FrameDepth depth_of(const Station& station, int source);

}  // namespace isoseam
