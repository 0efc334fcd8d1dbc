#pragma once
// A person sets a uniform patch to patterns of fine lines, and the tone curve follows.

#include <optional>

#include "calibration/display_estimate.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

// Shows a page of instruction, then one pattern for each of kLinePatternShares. Up and down (with shift: ten
// codes), space bar or Return to accept. Nothing when the person left (escape, or a closed window). Throws as
// tone_from_line_patterns does.
std::optional<ToneByEye> tone_by_eye(VideoSystem& video, Presenter& presenter);

// The code after a key was pressed, kept inside 1 .. full - 1, where a setting has a meaning.
int stepped_code(int code, const InputEvent& event, int full);

}  // namespace isoseam
