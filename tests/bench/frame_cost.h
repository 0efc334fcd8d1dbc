#pragma once
// What a dithered frame costs.

namespace isoseam::test {

// Prints, for fields on a screen of this size, the time in which the processor submits a frame and the time
// in which the graphics card draws it, medians over so many frames. An OpenGL context is current.
void print_frame_cost(int width_px, int height_px, int frames);

}  // namespace isoseam::test
