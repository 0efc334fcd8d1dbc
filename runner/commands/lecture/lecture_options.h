#pragma once
// What the commands of `isoseam lecture` share: which lecture, which calibrations.

#include <map>
#include <string>

#include "protocols/lectures/lecture_setup.h"
#include "runner/commands/session_options.h"

namespace isoseam {

class Command;

class LectureOptions {
  public:
    void add_to(Command* command);

    // The lecture's path: as given, or of a ready lecture of that name. InputError when neither exists.
    std::string path() const;
    std::map<std::string, std::string> calibration_files(const Lecture& lecture) const;
    // Everything read, checked and resolved.
    LectureSetup setup() const;
    // `asked`, or the lecture's first one where nothing was asked for; "en" of a lecture that names none.
    // InputError (key "--language") for one that the lecture has not; of phrases.h for any of them without
    // phrases.
    static std::string language(const Lecture& lecture, const std::string& asked);

  private:
    std::string lecture_;
    CalibrationOptions calibrations_;
};

}  // namespace isoseam
