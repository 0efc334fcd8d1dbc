#pragma once
// The exchange of the buffers of one window, and when it happened.

#include "stimuli/frame_watch.h"

struct SDL_Window;

namespace isoseam {

// It goes by the driver's count of refreshes where there is one (X11: the extension GLX_OML_sync_control of
// the OpenGL registry), else by a fence that the graphics card passes once the buffers are exchanged.
class FrameClock {
  public:
    // The window's OpenGL context is current, now and at every swap.
    explicit FrameClock(SDL_Window* window);

    StampKind kind() const { return kind_; }
    // Exchanges the buffers and waits until that is done. MachineError when it is not within some seconds.
    FrameStamp swap();
    // From now on the clock does not go by the driver's count, which proved of no use.
    void distrust_refresh_numbers() { kind_ = StampKind::fence; }

  private:
    FrameStamp fenced() const;
    FrameStamp counted() const;

    SDL_Window* window_;
    StampKind kind_ = StampKind::fence;
};

}  // namespace isoseam
