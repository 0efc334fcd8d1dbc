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
    if (!asked.empty() && !languages.empty() &&
        std::find(languages.begin(), languages.end(), asked) == languages.end()) {
        throw InputError(Fault{"", 0, 0, "--language",
                               fmt::format("the lecture {} has no texts in '{}'", lecture.stage.file, asked),
                               fmt::format("its languages are: {}", fmt::join(languages, ", "))});
    }
    // A telephone may choose any of these languages.
    for (const std::string& code : languages)
        static_cast<void>(Phrases::read(code));
    const std::string usual = languages.empty() ? "en" : languages.front();
    const std::string chosen = asked.empty() ? usual : asked;
    static_cast<void>(Phrases::read(chosen));
    return chosen;
}

}  // namespace isoseam
