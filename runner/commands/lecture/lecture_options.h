#pragma once
// What the commands of `isoseam lecture` share: the options for the lecture and its calibrations.

#include <map>
#include <string>

#include "protocols/lectures/lecture_setup.h"
#include "runner/commands/session_options.h"

namespace isoseam {

class Command;

class LectureOptions {
  public:
    void add_to(Command* command);

    // Returns the path of the lecture file: the given one, or that of a ready lecture with the given name.
    // InputError when neither exists.
    std::string path() const;
    const CalibrationOptions& calibrations() const { return calibrations_; }
    // Returns the lecture with everything read, checked and resolved.
    LectureSetup setup() const;
    // Returns `asked`, or the first language of the lecture where nothing was asked for; for a lecture that
    // names no language that is "en". InputError (key "--language") where the lecture does not have this
    // language. Throws the InputError of phrases.h where a language of the lecture has no phrases.
    static std::string language(const Lecture& lecture, const std::string& asked);

  private:
    std::string lecture_;
    CalibrationOptions calibrations_;
};

}  // namespace isoseam
