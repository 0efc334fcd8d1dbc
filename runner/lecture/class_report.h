#pragma once
// Tells a lecture as a page for those who took part in it: what was asked, what they answered, what they
// found.

#include <map>
#include <string>
#include <vector>

#include "analysis/pages/document.h"
#include "protocols/lectures/lecture_setup.h"
#include "results_schema/session_folder.h"
#include "runner/lecture_room/lecture_room.h"

namespace isoseam {

// A lecture that was given, as its folder tells it.
struct GivenLecture {
    LectureSetup setup;
    LectureRoom room;         // as it was left, with all answers
    std::vector<bool> shown;  // whether each scene was shown, by the scene's index
    // What each steered scene was steered to last, by its index.
    std::map<int, std::vector<double>> found;
    std::map<int, SettingRecord> settings;  // the last setting of each steered scene, by its index
};
// InputError: the folder is damaged, or it is not the folder of a lecture.
GivenLecture given_lecture(const SessionFolder& folder);

// The report tells of the scenes that were shown. It begins by saying what it is not. `language` is one of
// the lecture's languages, and phrases exist for it.
PageDocument class_report(const SessionFolder& folder, const GivenLecture& lecture,
                          const std::string& language, const std::string& program);

}  // namespace isoseam
