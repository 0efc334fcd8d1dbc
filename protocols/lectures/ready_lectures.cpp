#include "protocols/lectures/lecture.h"

namespace isoseam {

std::vector<ReadyLecture> ready_lectures() {
    return ready_files(
        {"lectures", "ISOSEAM_LECTURE_LIBRARY", ISOSEAM_LECTURE_LIBRARY, "protocols/lectures/library"},
        [](const std::string& path) { return read_lecture(path).stage.title; });
}

}  // namespace isoseam
