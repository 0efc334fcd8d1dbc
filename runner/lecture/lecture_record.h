#pragma once
// Writes what a lecture leaves behind: a folder of the same kind as a session's, which names no person.

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <utility>
#include <vector>

#include "protocols/lectures/lecture_setup.h"
#include "results_schema/session_log.h"
#include "runner/lecture/lecture_hall.h"
#include "runner/station/station.h"

namespace isoseam {

inline constexpr const char* kClass = "class";  // stands in the place of a participant's code

// Returns the whole header of a lecture except for the time when it began.
SessionHeader describe_lecture(const LectureSetup& setup, const Station& station);

// Keeps events in their order until they are written.
class LectureRecord {
  public:
    LectureRecord(const LectureSetup& setup, Station& station, SessionLog& log);

    void started(const std::vector<std::string>& warnings);
    void scene_shown(int number, const Scene& scene);
    void answers_opened(int number, bool open);
    // Adds what the class has steered a scene (an index) to, as a setting in cone contrast from the other
    // half.
    void setting(int scene, const std::vector<double>& start, const std::vector<double>& found,
                 double duration_s);
    void add(Happening happening);
    void warning(const std::string& text);
    void ended(bool finished);

    // Writes all that waits to be written. Returns "", or why the rest could not be written and is kept.
    std::string write();

    int settings() const { return settings_; }

  private:
    void add(const std::string& kind, nlohmann::json data);

    const LectureSetup& setup_;
    Station& station_;
    SessionLog& log_;
    double started_s_;
    int settings_ = 0;
    std::vector<int> visits_;  // how often each scene was steered
    std::vector<std::pair<double, Happening>> to_write_;
};

}  // namespace isoseam
