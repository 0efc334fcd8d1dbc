#pragma once
// isoseam session devices: which controllers and knobs are attached, and what moves when one of them is
// turned.

#include <cstdio>

#include "runner/commands/command.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

// One line a device: "device 0: NAME, 2 axes, 4 buttons (a knob may be any of its axes)".
void print_devices(const VideoSystem& video, std::FILE* to);
// Prints one line whenever an axis has moved by a fiftieth of its travel, for so long: "device 0, axis 1:
// 0.25
// (--knob 0:1)".
void print_movements(VideoSystem& video, double seconds, std::FILE* to);

}  // namespace isoseam
