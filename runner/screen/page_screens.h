#pragma once
// Instructions as pages of the screen: the type in which they are set, and the screens over which they go.

#include <functional>
#include <string>
#include <vector>

#include "runner/station/station.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

// "normal", "large" and "largest" give 1, 1.4 and 1.8 times the usual type. For any other word throws an
// InputError that lists these words.
double parse_text_size(const std::string& word);

// Whether a page fits in type that is not smaller than the usual one.
using PageFits = std::function<bool(const Page& page)>;

// Sets the instruction on `plain`, whose background, mirroring and type it keeps. In the usual type a long
// page is set smaller. In larger type it becomes no smaller than the usual type; what does not fit then goes
// on over several screens, of which all but the last have `read_on_foot`. `entry` says that something is
// typed.
std::vector<Page> page_screens(const Instruction& instruction, const Page& plain, bool entry,
                               const std::string& read_on_foot, const PageFits& fits);

}  // namespace isoseam
