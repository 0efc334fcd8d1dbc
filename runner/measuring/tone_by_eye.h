#pragma once
// A person sets a uniform patch to patterns of fine lines, and the screen's tone curve follows from these
// settings.

#include <optional>

#include "calibration/display_estimate.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

// Shows a page of instruction, then one pattern for each of kLinePatternShares. The Up and Down keys move the
// patch, by ten codes with Shift; the space bar or Return accepts. The result is none when the person left
// (Escape, or a closed window). Throws what tone_from_line_patterns throws.
std::optional<ToneByEye> tone_by_eye(VideoSystem& video, Presenter& presenter);

// Returns the code after a key was pressed. It stays inside 1 .. full - 1, where a setting has a meaning.
int stepped_code(int code, const InputEvent& event, int full);

}  // namespace isoseam
