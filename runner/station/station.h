#pragma once
// Where an observer sits: what shows lights and pages, and what hears responses. The session flow knows
// nothing else of screens, keys or clocks. So a person, a script and a simulated observer run through the
// very same flow.
//
//     station.expect(ExpectGoOn{});
//     station.show_page(page);
//     const Action action = station.wait(0.5);

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "results_schema/session_header.h"
#include "runner/station/moment.h"
#include "runner/station/page.h"
#include "runner/station/presentation.h"
#include "stimuli/frame_depth.h"

namespace isoseam {

// Hears what an experimenter or a lecturer should be told.
using Report = std::function<void(const std::string&)>;

enum class Sound { accepted, interval, right, wrong };

class Station {
  public:
    virtual ~Station() = default;

    // One per source of the rig.
    virtual std::vector<SourceRecord> sources() const = 0;
    virtual std::vector<ScreenRecord> screens() const = 0;
    // How finely one source shows light. It follows from sources(), unless a station knows it at once.
    virtual FrameDepth depth(int source) const;

    virtual void show_page(const Instruction& page) = 0;
    // The size of the screen that shows pages; none without such a screen.
    virtual std::optional<std::array<int, 2>> screen_size_px() const { return std::nullopt; }
    // Shows the adaptation light over the whole field, with a bar for `left`, which falls from 1 to 0.
    virtual void show_adaptation(double left) = 0;
    // Returns the time of the first frame (now_s()'s clock).
    virtual double show_field(const FieldLights& lights) = 0;
    // Waits at most timeout_s for the observer.
    virtual Action wait(double timeout_s) = 0;
    // Shows frames until the observer acts, the presentation ends or an interruption comes. The observer is
    // heard at every frame, and from the frame after an escape or an interruption the field is gone. A
    // station without frames shows what is compared, counts none, and waits.
    virtual Action show_presentation(const Presentation& presentation, PresentationProgress& progress);
    // What keeps the observer from seeing or answering, in plain words; none while all is well. Mends what
    // the program itself can mend, such as a lost window.
    virtual std::optional<std::string> interruption() { return std::nullopt; }
    virtual double now_s() = 0;

    // Drops what was pressed before now, so that a key held over from a page does not move a light.
    virtual void forget_presses() = 0;

    // Sets the language of what the station says by itself.
    virtual void use_language(const std::string&) {}
    // Whether show_presentation() shows every frame at its time.
    virtual bool shows_frames() const { return false; }
    // What counts from now on. A new station expects ExpectGoOn.
    virtual void expect(const Expected&) {}
    // The keys for what may be expected, in the participant's language; none where there are no keys.
    virtual std::vector<KeyHint> key_hints(const Expected&) const { return {}; }
    // How many presses were ignored, forgotten ones included, since this was asked last. Auto-repeats of a
    // held key do not count.
    virtual int take_ignored_presses() { return 0; }
    // Makes a short sound, where sounds are switched on.
    virtual void sound(Sound) {}
};

}  // namespace isoseam
