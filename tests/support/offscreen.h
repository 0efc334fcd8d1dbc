#pragma once
// OpenGL without a screen.

#include <GL/glew.h>

#include <memory>
#include <string>
#include <vector>

#include "stimuli/picture.h"

namespace isoseam::test {

// A current OpenGL 3.3 core context on the first device that EGL (Khronos's open standard) gives one on, for
// as long as it lives. std::runtime_error where there is none.
class OffscreenContext {
  public:
    OffscreenContext();
    ~OffscreenContext();
    OffscreenContext(const OffscreenContext&) = delete;
    OffscreenContext& operator=(const OffscreenContext&) = delete;

    std::string renderer() const;  // OpenGL's words, and its version

  private:
    struct Egl;
    std::unique_ptr<Egl> egl_;
};

// A frame buffer of 8 or 10 bits per channel, or of 32-bit floats (`bits` 32). All that is drawn goes into
// the one that was bound last.
class OffscreenBuffer {
  public:
    OffscreenBuffer(int width_px, int height_px, int bits);
    ~OffscreenBuffer();
    OffscreenBuffer(const OffscreenBuffer&) = delete;
    OffscreenBuffer& operator=(const OffscreenBuffer&) = delete;

    void bind() const;
    // Three channels a pixel, row 0 on top.
    std::vector<float> values() const;
    CodeImage codes() const;

  private:
    int width_px_;
    int height_px_;
    int bits_;
    GLuint texture_ = 0;
    GLuint frame_buffer_ = 0;
};

}  // namespace isoseam::test
