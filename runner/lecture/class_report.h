#pragma once
// A lecture as a page for those who took part in it: what was asked, what they answered, what they found.

#include <map>
#include <string>
#include <vector>

#include "analysis/pages/document.h"
#include "protocols/lectures/lecture_setup.h"
#include "results_schema/session_folder.h"
#include "runner/lecture_room/lecture_room.h"

namespace isoseam {

// A lecture as its folder tells it.
struct GivenLecture {
    LectureSetup setup;
    LectureRoom room;                          // as it was left, with all answers
    std::vector<bool> shown;                   // by scene (index)
    std::map<int, std::vector<double>> found;  // what scenes were steered to last
    std::map<int, SettingRecord> settings;     // of these scenes, the last ones
};
// InputError: a folder that is damaged, or not of a lecture.
GivenLecture given_lecture(const SessionFolder& folder);

// Of the scenes that were shown. What it is not stands on top. `language`: one of the lecture's that has
// phrases.
PageDocument class_report(const SessionFolder& folder, const GivenLecture& lecture,
                          const std::string& language, const std::string& program);

}  // namespace isoseam
