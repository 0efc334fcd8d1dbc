#include "stimuli/gl/frame_clock.h"

#include "base/errors.h"
#include "stimuli/gl/presenter.h"

// After Eigen, which Xlib's macros break.
#include <GL/glew.h>
#include <GL/glxew.h>
#include <SDL.h>
#include <fmt/format.h>

#include <cmath>
#include <cstring>
#include <memory>

namespace isoseam {
namespace {

// A card that needs longer has given up.
constexpr GLuint64 kLongestSwapNanoseconds = 5'000'000'000;
// The driver's clock counts microseconds since some moment. When it is the steady clock it is off by less
// than this.
constexpr double kSameClockSeconds = 1.0;

// A function of GLX, when the current context is one of GLX and display and screen know the extension.
template <typename Function>
Function glx_function(const char* name) {
    return reinterpret_cast<Function>(SDL_GL_GetProcAddress(name));
}

bool counts_refreshes() {
    if (std::strcmp(SDL_GetCurrentVideoDriver(), "x11") != 0)
        return false;
    const auto display_of = glx_function<Display* (*)()>("glXGetCurrentDisplay");
    const auto extensions_of = glx_function<const char* (*)(Display*, int)>("glXQueryExtensionsString");
    Display* display = display_of == nullptr ? nullptr : display_of();
    if (display == nullptr || extensions_of == nullptr)
        return false;
    const char* extensions = extensions_of(display, DefaultScreen(display));
    return extensions != nullptr && std::strstr(extensions, "GLX_OML_sync_control") != nullptr &&
           glx_function<PFNGLXWAITFORSBCOMLPROC>("glXWaitForSbcOML") != nullptr;
}

struct SyncDeleter {
    using pointer = GLsync;
    void operator()(GLsync sync) const { glDeleteSync(sync); }
};

}  // namespace

FrameClock::FrameClock(SDL_Window* window) : window_(window) {
    if (counts_refreshes())
        kind_ = StampKind::media_stream_counter;
}

FrameStamp FrameClock::swap() {
    SDL_GL_SwapWindow(window_);
    return kind_ == StampKind::media_stream_counter ? counted() : fenced();
}

FrameStamp FrameClock::fenced() const {
    // A pixel of the next picture, which is drawn over: the fence then waits until the exchange has set its
    // buffer free.
    glEnable(GL_SCISSOR_TEST);
    glScissor(0, 0, 1, 1);
    glClear(GL_COLOR_BUFFER_BIT);
    glDisable(GL_SCISSOR_TEST);
    const std::unique_ptr<GLsync, SyncDeleter> fence(glFenceSync(GL_SYNC_GPU_COMMANDS_COMPLETE, 0));
    const GLenum result = glClientWaitSync(fence.get(), GL_SYNC_FLUSH_COMMANDS_BIT, kLongestSwapNanoseconds);
    const FrameStamp stamp{steady_seconds(), std::nullopt};
    if (result != GL_ALREADY_SIGNALED && result != GL_CONDITION_SATISFIED) {
        throw MachineError("the graphics card did not finish a picture within 5 s",
                           "check its driver and the screen's cable");
    }
    return stamp;
}

FrameStamp FrameClock::counted() const {
    const auto display_of = glx_function<Display* (*)()>("glXGetCurrentDisplay");
    const auto drawable_of = glx_function<GLXDrawable (*)()>("glXGetCurrentDrawable");
    const auto wait_for_swap = glx_function<PFNGLXWAITFORSBCOMLPROC>("glXWaitForSbcOML");
    std::int64_t microseconds = 0, refreshes = 0, swaps = 0;
    if (wait_for_swap(display_of(), drawable_of(), 0, &microseconds, &refreshes, &swaps) == 0)
        return fenced();  // this frame has no number
    const double now_s = steady_seconds();
    const double driver_s = 1e-6 * static_cast<double>(microseconds);
    return {std::abs(now_s - driver_s) < kSameClockSeconds ? driver_s : now_s, refreshes};
}

}  // namespace isoseam
