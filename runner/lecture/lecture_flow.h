#pragma once
// Gives a lecture on the projector, from the page that lets people join to the last scene.

#include <string>
#include <vector>

#include "protocols/lectures/lecture_setup.h"
#include "results_schema/session_log.h"
#include "runner/lecture/lecture_hall.h"
#include "runner/station/station.h"

namespace isoseam {

// In one second the class's field moves by at most kSteeringPerSecond of a slider's way. After a scene comes
// the next one no earlier than kLeastSceneSeconds later. So a change of light there and back takes longer
// than a third of a second, whatever people do, and the field stays below three flashes in any second (see
// stimuli/flash_limits.h).
inline constexpr double kSteeringPerSecond = 0.25;
inline constexpr double kLeastSceneSeconds = 0.4;

// Returns where the field's sliders stand after this time on their way to the class's median.
std::vector<double> moved_towards(std::vector<double> positions, const std::vector<double>& wanted,
                                  double seconds);

struct LectureView {
    std::string language;      // of the projector; "" where the lecture has one language only
    std::string join_address;  // what people type or scan; "": nobody can join
};

struct LectureOutcome {
    bool finished = false;  // whether the last scene was shown
    int settings = 0;       // how many settings the class made
    int people = 0;
};

// Shows scenes until the lecturer ends the lecture, by keys or a remote at the station, or by the desk. Soon
// after people answer, their answers are in the log. When a steered scene is left, what the class has steered
// to becomes a setting in the log. What cannot be written is kept and tried again, and the desk is told, so
// that the lecture goes on. Nothing may be in the log before this call.
LectureOutcome run_lecture(const LectureSetup& setup, const LectureView& view, LectureHall& hall,
                           Station& station, SessionLog& log, const std::vector<std::string>& warnings,
                           const Report& report);

}  // namespace isoseam
