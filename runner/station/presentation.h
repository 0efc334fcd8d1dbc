#pragma once
// What a seat shows of a field: one light in each half, or many frames of them.

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "stimuli/drive_solution.h"
#include "stimuli/field.h"
#include "stimuli/frame_watch.h"

namespace isoseam {

// A bipartite field as the flow asks for it: the light of each half on its own source. The station adds the
// surround and the fixation mark, which do not change during a session.
struct FieldLights {
    std::array<LinearDrive, 2> halves;  // by Half; in gamut
    std::int64_t frame = 0;             // its number in a presentation of many frames
    // The quadrant that has the second light, in a field of quadrants.
    int odd_quadrant = 0;
    // The lights of the ring beside each half, on the field's source, where a condition has lights of its
    // own; else the protocol's show.
    std::optional<std::array<LinearDrive, 2>> rings{};
    bool mark_hidden = false;  // the fixation mark of a spot is lit like the spot
    // Words below the field, on the screen that shows pages; left out where the field leaves no room.
    std::string caption{};
};

// A stimulus of many frames, one to a refresh of the screen.
struct Presentation {
    std::function<FieldLights(std::int64_t frame)> lights;  // follows from the number alone
    FieldLights compared;                   // what the observer compares, for stations that show no frames
    std::optional<std::int64_t> end_frame;  // the first frame that is not shown; none: until it is stopped
    // The presentation also ends so long after its first frame or the last pause by the clock, however few
    // frames were shown. This is for what must not go on for longer, such as flicker.
    std::optional<double> longest_s{};
};

// How far a presentation has come. A presentation is carried on by handing this to show_presentation again;
// frames that come late because of what happened in between count as late.
struct PresentationProgress {
    std::int64_t next_frame = 0;
    FrameCounts frames;
    std::optional<FrameWatch> watch;
    std::optional<double> began_s;  // when the first frame since the last pause was shown
    double first_frame_s = 0.0;     // when the first frame of all was shown (now_s()'s clock)

    // After a pause: the next frame is due whenever it comes.
    void pause() {
        watch.reset();
        began_s.reset();
    }
};

}  // namespace isoseam
