#pragma once
// A window, or a full screen, with an OpenGL context and a frame buffer whose codes nothing changes on their
// way.

#include <memory>

#include "stimuli/gl/presenter.h"

struct SDL_Window;

namespace isoseam {

class GlWindow {
  public:
    // The deepest frame buffer that was asked for and exists. MachineErrors as of Presenter.
    explicit GlWindow(const PresenterOptions& options);
    ~GlWindow();
    GlWindow(const GlWindow&) = delete;
    GlWindow& operator=(const GlWindow&) = delete;

    SDL_Window* get() const { return window_.get(); }
    const ScreenInfo& info() const { return info_; }
    // Makes the context current; false where the system refuses, since the window was lost.
    bool make_current() const;
    // Makes the context current and sets the viewport. MachineErrors: the window was lost or resized, or the
    // graphics card was reset.
    void begin_frame() const;
    // The codes that were drawn since the last exchange of buffers. The context is current.
    CodeImage back_buffer() const;

  private:
    struct WindowDestroyer {
        void operator()(SDL_Window* window) const;
    };
    struct ContextDeleter {
        void operator()(void* context) const;
    };
    void open(const PresenterOptions& options);
    void learn(const PresenterOptions& options);

    std::unique_ptr<SDL_Window, WindowDestroyer> window_;
    std::unique_ptr<void, ContextDeleter> context_;
    ScreenInfo info_;
    bool full_screen_;
};

}  // namespace isoseam
