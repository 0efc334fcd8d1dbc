#pragma once
// A lecture on the projector, from the page that lets people join to the last scene.

#include <functional>
#include <string>
#include <vector>

#include "protocols/lectures/lecture_setup.h"
#include "results_schema/session_log.h"
#include "runner/lecture/lecture_hall.h"
#include "runner/station/station.h"

namespace isoseam {

// The class's field moves at most so far in a second (of a slider's way), and scenes follow each other after
// at least so long. So a change of light there and back takes longer than a third of a second whatever people
// do: the field stays below three flashes in any second (see stimuli/flash_limits.h).
inline constexpr double kSteeringPerSecond = 0.25;
inline constexpr double kLeastSceneSeconds = 0.4;

// Where the field's sliders stand on their way to the class's median.
std::vector<double> moved_towards(std::vector<double> positions, const std::vector<double>& wanted,
                                  double seconds);

struct LectureView {
    std::string language;      // of the projector; "" where the lecture has but one
    std::string join_address;  // that people type or scan; "": nobody can join
};

struct LectureOutcome {
    bool finished = false;  // the last scene was shown
    int settings = 0;       // the class's
    int people = 0;
};

// Shows scenes until the lecturer ends: by keys or a remote on the station, and by the desk. Whatever people
// answer is in the log soon after; what the class has steered to is a setting there when its scene is left.
// What cannot be written is kept and tried again, and the desk is told: a lecture goes on. The log has been
// begun by nobody else.
LectureOutcome run_lecture(const LectureSetup& setup, const LectureView& view, LectureHall& hall,
                           Station& station, SessionLog& log, const std::vector<std::string>& warnings,
                           const std::function<void(const std::string&)>& report);

}  // namespace isoseam
