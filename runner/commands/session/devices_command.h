#pragma once
// isoseam session devices: tells which controllers and knobs are attached, and what moves when somebody turns
// one of them.

#include <cstdio>

#include "runner/commands/command.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

// Prints one line for each device: "device 0: NAME, 2 axes, 4 buttons (a knob may be any of its axes)".
void print_devices(const VideoSystem& video, std::FILE* to);
// For this long, prints one line whenever an axis has moved by a fiftieth of its travel. The line is such as
// "device 0, axis 1: 0.25  (--knob 0:1)".
void print_movements(VideoSystem& video, double seconds, std::FILE* to);

}  // namespace isoseam
