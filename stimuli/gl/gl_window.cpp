#include "stimuli/gl/gl_window.h"

#include <GL/glew.h>
#include <SDL.h>
#include <fmt/format.h>

#include <cmath>

#include "base/errors.h"
#include "stimuli/gl/gl_program.h"

namespace isoseam {
namespace {

constexpr const char* kNoOpenGlRemedy =
    "install a graphics driver that offers OpenGL 3.3 core (on Debian: libgl1-mesa-dri), or run with "
    "--headless";

void ask_for_frame_buffer(int bits) {
    SDL_GL_ResetAttributes();
    SDL_GL_SetAttribute(SDL_GL_CONTEXT_MAJOR_VERSION, 3);
    SDL_GL_SetAttribute(SDL_GL_CONTEXT_MINOR_VERSION, 3);
    SDL_GL_SetAttribute(SDL_GL_CONTEXT_PROFILE_MASK, SDL_GL_CONTEXT_PROFILE_CORE);
    SDL_GL_SetAttribute(SDL_GL_RED_SIZE, bits);
    SDL_GL_SetAttribute(SDL_GL_GREEN_SIZE, bits);
    SDL_GL_SetAttribute(SDL_GL_BLUE_SIZE, bits);
    SDL_GL_SetAttribute(SDL_GL_ALPHA_SIZE, 0);
    SDL_GL_SetAttribute(SDL_GL_DEPTH_SIZE, 0);
    SDL_GL_SetAttribute(SDL_GL_DOUBLEBUFFER, 1);
    // Where the driver can, it tells when it has lost everything, instead of drawing nothing in silence.
    SDL_GL_SetAttribute(SDL_GL_CONTEXT_RESET_NOTIFICATION, SDL_GL_CONTEXT_RESET_LOSE_CONTEXT);
}

SDL_Window* made_window(const PresenterOptions& options) {
    SDL_Rect bounds{};
    if (SDL_GetDisplayBounds(options.screen, &bounds) != 0)
        return nullptr;
    Uint32 flags = SDL_WINDOW_OPENGL | SDL_WINDOW_ALLOW_HIGHDPI;
    if (options.full_screen) {
        // Desktop mode: the resolution and refresh with which the screen was calibrated are left alone.
        flags |= SDL_WINDOW_FULLSCREEN_DESKTOP;
        return SDL_CreateWindow(options.title.c_str(), bounds.x, bounds.y, bounds.w, bounds.h, flags);
    }
    const int x = bounds.x + options.x_px.value_or((bounds.w - options.width_px) / 2);
    const int y = bounds.y + options.y_px.value_or((bounds.h - options.height_px) / 2);
    return SDL_CreateWindow(options.title.c_str(), x, y, options.width_px, options.height_px, flags);
}

int back_buffer_bits() {
    std::array<GLint, 3> bits{};
    const std::array<GLenum, 3> channels{GL_FRAMEBUFFER_ATTACHMENT_RED_SIZE,
                                         GL_FRAMEBUFFER_ATTACHMENT_GREEN_SIZE,
                                         GL_FRAMEBUFFER_ATTACHMENT_BLUE_SIZE};
    for (std::size_t k = 0; k < bits.size(); ++k)
        glGetFramebufferAttachmentParameteriv(GL_FRAMEBUFFER, GL_BACK_LEFT, channels[k], &bits[k]);
    if (!((bits[0] == 8 || bits[0] == 10) && bits[1] == bits[0] && bits[2] == bits[0])) {
        throw MachineError(
            fmt::format("the frame buffer has {}, {} and {} bits per channel", bits[0], bits[1], bits[2]),
            "set the screen to a colour depth of 24 or 30 bits");
    }
    return bits[0];
}

void load_open_gl() {
    glewExperimental = GL_TRUE;
    const GLenum result = glewInit();
    // Without GLX (Wayland, EGL) GLEW reports this after it has loaded OpenGL itself.
    const bool loaded = result == GLEW_OK || result == GLEW_ERROR_NO_GLX_DISPLAY;
    if (!loaded || glTexBuffer == nullptr || glGenVertexArrays == nullptr) {
        throw MachineError(fmt::format("no OpenGL 3.3 core: {}",
                                       loaded ? "functions are missing"
                                              : reinterpret_cast<const char*>(glewGetErrorString(result))),
                           kNoOpenGlRemedy);
    }
    // glewInit may leave an error behind in a core context.
    while (glGetError() != GL_NO_ERROR) {
    }
}

// Whether the graphics card was reset since the context was made; false where the driver does not tell.
bool context_is_lost() {
    if (SDL_GL_ExtensionSupported("GL_ARB_robustness") != SDL_TRUE)
        return false;
    const auto status = reinterpret_cast<PFNGLGETGRAPHICSRESETSTATUSARBPROC>(
        SDL_GL_GetProcAddress("glGetGraphicsResetStatusARB"));
    return status != nullptr && status() != GL_NO_ERROR;
}

std::string gl_words(GLenum name) {
    const GLubyte* words = glGetString(name);
    return words == nullptr ? "" : reinterpret_cast<const char*>(words);
}

}  // namespace

void GlWindow::WindowDestroyer::operator()(SDL_Window* window) const {
    SDL_DestroyWindow(window);
}

void GlWindow::ContextDeleter::operator()(void* context) const {
    SDL_GL_DeleteContext(context);
}

GlWindow::GlWindow(const PresenterOptions& options) : full_screen_(options.full_screen) {
    open(options);
    load_open_gl();
    learn(options);
    if (full_screen_)
        SDL_ShowCursor(SDL_DISABLE);
    SDL_GL_SetSwapInterval(1);  // screens without it (virtual ones) swap at once
    // All that would change a code on its way into the frame buffer is turned off.
    glDisable(GL_DITHER);
    glDisable(GL_BLEND);
    glDisable(GL_FRAMEBUFFER_SRGB);
    glDisable(GL_MULTISAMPLE);
}

GlWindow::~GlWindow() {
    if (full_screen_)
        SDL_ShowCursor(SDL_ENABLE);
}

bool GlWindow::make_current() const {
    return SDL_GL_MakeCurrent(window_.get(), context_.get()) == 0;
}

// Some systems refuse a frame buffer of this depth with the window, others with the context.
void GlWindow::open(const PresenterOptions& options) {
    for (const int bits : {10, 8}) {
        if (bits > options.wanted_bits)
            continue;
        ask_for_frame_buffer(bits);
        window_.reset(made_window(options));
        if (window_ != nullptr)
            context_.reset(SDL_GL_CreateContext(window_.get()));
        if (context_ != nullptr)
            return;
        window_.reset();
    }
    throw MachineError(fmt::format("no OpenGL 3.3 core on screen {}: {}", options.screen, SDL_GetError()),
                       kNoOpenGlRemedy);
}

void GlWindow::learn(const PresenterOptions& options) {
    info_.index = options.screen;
    const char* name = SDL_GetDisplayName(options.screen);
    info_.name = name == nullptr ? "" : name;
    SDL_PumpEvents();
    SDL_GL_GetDrawableSize(window_.get(), &info_.width_px, &info_.height_px);
    SDL_DisplayMode mode{};
    if (SDL_GetCurrentDisplayMode(options.screen, &mode) == 0)
        info_.refresh_hz = mode.refresh_rate;
    info_.bits = back_buffer_bits();
    info_.video_driver = SDL_GetCurrentVideoDriver();
    info_.renderer = gl_words(GL_RENDERER);
    info_.gl_version = gl_words(GL_VERSION);
}

void GlWindow::begin_frame() const {
    if (!make_current())
        throw MachineError(fmt::format("the window was lost: {}", SDL_GetError()),
                           "check the screen, and start again");
    if (context_is_lost())
        throw MachineError("the graphics card was reset and lost the picture",
                           "check its driver and its cooling");
    int width_px = 0;
    int height_px = 0;
    SDL_GL_GetDrawableSize(window_.get(), &width_px, &height_px);
    if (width_px != info_.width_px || height_px != info_.height_px) {
        throw MachineError(fmt::format("the window was resized from {} x {} to {} x {} pixels",
                                       info_.width_px, info_.height_px, width_px, height_px),
                           "leave its size alone, or use the full screen");
    }
    glViewport(0, 0, width_px, height_px);
}

CodeImage GlWindow::back_buffer() const {
    const auto width = static_cast<std::size_t>(info_.width_px);
    const auto height = static_cast<std::size_t>(info_.height_px);
    std::vector<float> values(width * height * 3);
    glReadBuffer(GL_BACK);
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
    glReadPixels(0, 0, info_.width_px, info_.height_px, GL_RGB, GL_FLOAT, values.data());
    check_gl("reading back");
    const auto full = static_cast<float>((1 << info_.bits) - 1);
    CodeImage image{info_.width_px, info_.height_px, info_.bits, std::vector<std::uint16_t>(values.size())};
    for (std::size_t row = 0; row < height; ++row) {
        const float* source = &values[(height - 1 - row) * width * 3];
        for (std::size_t i = 0; i < width * 3; ++i)
            image.codes[row * width * 3 + i] = static_cast<std::uint16_t>(std::lround(source[i] * full));
    }
    return image;
}

}  // namespace isoseam
