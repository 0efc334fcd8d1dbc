#include "runner/commands/lecture/lecture_options.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>
#include <utility>

#include "runner/commands/command_words.h"
#include "runner/station/phrases.h"

namespace isoseam {

void LectureOptions::add_to(Command* command) {
    command
        ->add_option("lecture", lecture_, "lecture file, or the name of a ready one (isoseam lecture list)")
        ->required();
    calibrations_.add_to(command);
}

std::string LectureOptions::path() const {
    return file_or_ready(lecture_, "lecture", ready_lectures());
}

LectureSetup LectureOptions::setup() const {
    Lecture lecture = read_lecture(path());
    const std::vector<Calibration> calibrations = calibrations_.read(lecture.stage);
    return {std::move(lecture), calibrations};
}

std::string LectureOptions::language(const Lecture& lecture, const std::string& asked) {
    const std::vector<std::string>& languages = lecture.stage.languages;
    const std::string usual = languages.empty() ? "en" : languages.front();
    const std::string chosen = asked.empty() ? usual : asked;
    // A telephone may choose any of the lecture's languages.
    check_language(lecture.stage, "lecture", chosen);
    return chosen;
}

}  // namespace isoseam
