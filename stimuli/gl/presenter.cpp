#include "stimuli/gl/presenter.h"

#include <GL/glew.h>
#include <SDL.h>
#include <fmt/format.h>

#include <array>
#include <chrono>
#include <cmath>
#include <thread>

#include "base/errors.h"
#include "stimuli/gl/caption_drawing.h"
#include "stimuli/gl/code_drawing.h"
#include "stimuli/gl/field_drawing.h"
#include "stimuli/gl/frame_clock.h"
#include "stimuli/gl/line_drawing.h"
#include "stimuli/gl/page_drawing.h"

namespace isoseam {

namespace {

constexpr const char* kNoOpenGlRemedy =
    "install a graphics driver that offers OpenGL 3.3 core (on Debian: libgl1-mesa-dri), or run with "
    "--headless";

struct WindowDestroyer {
    void operator()(SDL_Window* window) const { SDL_DestroyWindow(window); }
};
using Window = std::unique_ptr<SDL_Window, WindowDestroyer>;

struct ContextDeleter {
    void operator()(void* context) const { SDL_GL_DeleteContext(context); }
};
using Context = std::unique_ptr<void, ContextDeleter>;

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

Window made_window(const PresenterOptions& options) {
    SDL_Rect bounds{};
    if (SDL_GetDisplayBounds(options.screen, &bounds) != 0)
        return nullptr;
    Uint32 flags = SDL_WINDOW_OPENGL | SDL_WINDOW_ALLOW_HIGHDPI;
    if (options.full_screen) {
        // Desktop mode: the resolution and refresh with which the screen was calibrated are left alone.
        flags |= SDL_WINDOW_FULLSCREEN_DESKTOP;
        return Window(SDL_CreateWindow(options.title.c_str(), bounds.x, bounds.y, bounds.w, bounds.h, flags));
    }
    const int x = bounds.x + options.x_px.value_or((bounds.w - options.width_px) / 2);
    const int y = bounds.y + options.y_px.value_or((bounds.h - options.height_px) / 2);
    return Window(SDL_CreateWindow(options.title.c_str(), x, y, options.width_px, options.height_px, flags));
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

void sleep_until(double time_s) {
    const double left_s = time_s - steady_seconds();
    if (left_s > 0.0)
        std::this_thread::sleep_for(std::chrono::duration<double>(left_s));
}

std::string gl_words(GLenum name) {
    const GLubyte* words = glGetString(name);
    return words == nullptr ? "" : reinterpret_cast<const char*>(words);
}

}  // namespace

struct Presenter::Implementation {
    struct Beat {
        double due_s;
        double period_s;
    };

    Window window;
    Context context;
    ScreenInfo info;
    bool full_screen = false;
    std::unique_ptr<FieldDrawing> fields;
    std::unique_ptr<PageDrawing> pages;
    std::unique_ptr<CaptionDrawing> captions;
    std::unique_ptr<CodeDrawing> pictures;
    std::unique_ptr<FrameClock> clock;
    FrameStamp stamp;
    std::function<void()> before_swap;
    std::optional<Beat> beat;  // of the next show()
    bool keeps_read_back = false;
    CodeImage image;

    explicit Implementation(const PresenterOptions& options);
    ~Implementation();
    Implementation(const Implementation&) = delete;
    Implementation& operator=(const Implementation&) = delete;

    void open(const PresenterOptions& options);
    void make_current() const;
    void learn(const PresenterOptions& options);
    void begin();
    double finish();
    void read();
};

Presenter::Implementation::Implementation(const PresenterOptions& options)
    : full_screen(options.full_screen) {
    open(options);
    load_open_gl();
    learn(options);
    if (full_screen)
        SDL_ShowCursor(SDL_DISABLE);
    SDL_GL_SetSwapInterval(1);  // screens without it (virtual ones) swap at once
    // What would change a code on its way into the frame buffer.
    glDisable(GL_DITHER);
    glDisable(GL_BLEND);
    glDisable(GL_FRAMEBUFFER_SRGB);
    glDisable(GL_MULTISAMPLE);
    fields = std::make_unique<FieldDrawing>();
    pages = std::make_unique<PageDrawing>();
    captions = std::make_unique<CaptionDrawing>();
    pictures = std::make_unique<CodeDrawing>();
    clock = std::make_unique<FrameClock>(window.get());
    check_gl("setting up");
}

Presenter::Implementation::~Implementation() {
    if (context != nullptr && SDL_GL_MakeCurrent(window.get(), context.get()) == 0) {
        fields.reset();
        pages.reset();
        captions.reset();
        pictures.reset();
    }
    if (full_screen)
        SDL_ShowCursor(SDL_ENABLE);
}

// The deepest frame buffer that was asked for and exists. Some systems refuse it with the window, some with
// the context.
void Presenter::Implementation::open(const PresenterOptions& options) {
    for (const int bits : {10, 8}) {
        if (bits > options.wanted_bits)
            continue;
        ask_for_frame_buffer(bits);
        window = made_window(options);
        if (window != nullptr)
            context.reset(SDL_GL_CreateContext(window.get()));
        if (context != nullptr)
            return;
        window.reset();
    }
    throw MachineError(fmt::format("no OpenGL 3.3 core on screen {}: {}", options.screen, SDL_GetError()),
                       kNoOpenGlRemedy);
}

void Presenter::Implementation::learn(const PresenterOptions& options) {
    info.index = options.screen;
    const char* name = SDL_GetDisplayName(options.screen);
    info.name = name == nullptr ? "" : name;
    SDL_PumpEvents();
    SDL_GL_GetDrawableSize(window.get(), &info.width_px, &info.height_px);
    SDL_DisplayMode mode{};
    if (SDL_GetCurrentDisplayMode(options.screen, &mode) == 0)
        info.refresh_hz = mode.refresh_rate;
    info.bits = back_buffer_bits();
    info.video_driver = SDL_GetCurrentVideoDriver();
    info.renderer = gl_words(GL_RENDERER);
    info.gl_version = gl_words(GL_VERSION);
}

void Presenter::Implementation::make_current() const {
    if (SDL_GL_MakeCurrent(window.get(), context.get()) != 0)
        throw MachineError(fmt::format("the window was lost: {}", SDL_GetError()),
                           "check the screen, and start again");
}

void Presenter::Implementation::begin() {
    make_current();
    if (context_is_lost())
        throw MachineError("the graphics card was reset and lost the picture",
                           "check its driver and its cooling");
    int width_px = 0;
    int height_px = 0;
    SDL_GL_GetDrawableSize(window.get(), &width_px, &height_px);
    if (width_px != info.width_px || height_px != info.height_px) {
        throw MachineError(fmt::format("the window was resized from {} x {} to {} x {} pixels", info.width_px,
                                       info.height_px, width_px, height_px),
                           "leave its size alone, or use the full screen");
    }
    glViewport(0, 0, width_px, height_px);
}

double Presenter::Implementation::finish() {
    if (keeps_read_back)
        read();
    if (beat) {
        glFinish();  // drawn and ready, so that the exchange itself takes little
        sleep_until(paced_show_s(beat->due_s, beat->period_s, steady_seconds()));
        beat.reset();
    }
    if (before_swap)
        before_swap();
    stamp = clock->swap();
    return stamp.time_s;
}

void Presenter::Implementation::read() {
    const auto width = static_cast<std::size_t>(info.width_px);
    const auto height = static_cast<std::size_t>(info.height_px);
    std::vector<float> values(width * height * 3);
    glReadBuffer(GL_BACK);
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
    glReadPixels(0, 0, info.width_px, info.height_px, GL_RGB, GL_FLOAT, values.data());
    check_gl("reading back");
    const auto full = static_cast<float>((1 << info.bits) - 1);
    image = CodeImage{info.width_px, info.height_px, info.bits, std::vector<std::uint16_t>(values.size())};
    for (std::size_t row = 0; row < height; ++row) {
        const float* source = &values[(height - 1 - row) * width * 3];
        for (std::size_t i = 0; i < width * 3; ++i)
            image.codes[row * width * 3 + i] = static_cast<std::uint16_t>(std::lround(source[i] * full));
    }
}

Presenter::Presenter(VideoSystem& video, const PresenterOptions& options) {
    ISOSEAM_CHECK(options.wanted_bits == 8 || options.wanted_bits == 10,
                  fmt::format("{} bits", options.wanted_bits));
    ISOSEAM_CHECK(options.full_screen || (options.width_px > 0 && options.height_px > 0));
    const int screens = video.screen_count();
    if (!(options.screen >= 0 && options.screen < screens)) {
        throw MachineError(
            fmt::format("no screen {}: this machine has {}", options.screen,
                        screens == 1 ? "one screen, number 0"
                                     : fmt::format("{} screens, numbers 0 to {}", screens, screens - 1)),
            "name one of these with --screen");
    }
    implementation_ = std::make_unique<Implementation>(options);
}

Presenter::~Presenter() = default;

const ScreenInfo& Presenter::info() const {
    return implementation_->info;
}

double Presenter::show(const FieldPicture& picture, const std::string& caption) {
    const ScreenInfo& screen = implementation_->info;
    const ViewingGeometry& viewing = picture.layout.viewing();
    ISOSEAM_CHECK_EQ(viewing.width_px, screen.width_px);
    ISOSEAM_CHECK_EQ(viewing.height_px, screen.height_px);
    ISOSEAM_CHECK_EQ(picture.bits, screen.bits);
    implementation_->begin();
    implementation_->fields->draw(picture);
    if (!caption.empty())
        implementation_->captions->draw(caption, picture, implementation_->pages->setter());
    return implementation_->finish();
}

double Presenter::show(const Page& page) {
    const ScreenInfo& screen = implementation_->info;
    implementation_->begin();
    implementation_->pages->draw(page, screen.width_px, screen.height_px, screen.bits);
    return implementation_->finish();
}

bool Presenter::fits(const Page& page) const {
    const ScreenInfo& screen = implementation_->info;
    return implementation_->pages->setter().fits(page, screen.width_px, screen.height_px);
}

namespace {

void fill(const std::array<std::uint16_t, 3>& code, int bits) {
    const auto full = static_cast<float>((1 << bits) - 1);
    std::array<float, 3> share{};
    for (std::size_t channel = 0; channel < 3; ++channel) {
        share[channel] = static_cast<float>(code[channel]) / full;
        ISOSEAM_CHECK(share[channel] <= 1.0F, fmt::format("code {} of {} bits", code[channel], bits));
    }
    glClearColor(share[0], share[1], share[2], 1.0F);
    glClear(GL_COLOR_BUFFER_BIT);
}

}  // namespace

double Presenter::show(const CodePatch& patch) {
    const ScreenInfo& screen = implementation_->info;
    ISOSEAM_CHECK(patch.left_px >= 0 && patch.top_px >= 0 && patch.width_px > 0 && patch.height_px > 0 &&
                      patch.left_px + patch.width_px <= screen.width_px &&
                      patch.top_px + patch.height_px <= screen.height_px,
                  fmt::format("a patch of {} x {} at {}, {}", patch.width_px, patch.height_px, patch.left_px,
                              patch.top_px));
    implementation_->begin();
    fill(patch.surround_code, screen.bits);
    glEnable(GL_SCISSOR_TEST);
    // OpenGL counts rows from below.
    glScissor(patch.left_px, screen.height_px - patch.top_px - patch.height_px, patch.width_px,
              patch.height_px);
    fill(patch.code, screen.bits);
    glDisable(GL_SCISSOR_TEST);
    check_gl("drawing a patch");
    return implementation_->finish();
}

WindowState Presenter::state() const {
    SDL_Window* window = implementation_->window.get();
    SDL_PumpEvents();  // what happened until now
    WindowState state;
    SDL_GetWindowPosition(window, &state.x_px, &state.y_px);
    state.screen = SDL_GetWindowDisplayIndex(window);
    const Uint32 flags = SDL_GetWindowFlags(window);
    state.shown = (flags & (SDL_WINDOW_MINIMIZED | SDL_WINDOW_HIDDEN)) == 0;
    state.has_focus = (flags & SDL_WINDOW_INPUT_FOCUS) != 0;
    SDL_GL_GetDrawableSize(window, &state.width_px, &state.height_px);
    return state;
}

std::optional<ColourTables> Presenter::colour_tables() const {
    return x11_colour_tables(implementation_->window.get());
}

std::optional<std::string> Presenter::screen_asleep() const {
    return x11_screen_asleep(implementation_->window.get());
}

std::optional<std::vector<std::string>> Presenter::screen_modes() const {
    return x11_screen_modes(implementation_->window.get());
}

std::optional<bool> Presenter::compositing_manager() const {
    return x11_compositing_manager(implementation_->window.get());
}

const FrameStamp& Presenter::stamp() const {
    return implementation_->stamp;
}

StampKind Presenter::stamp_kind() const {
    return implementation_->clock->kind();
}

void Presenter::distrust_refresh_numbers() {
    implementation_->clock->distrust_refresh_numbers();
}

void Presenter::keep_beat(double due_s, double period_s) {
    implementation_->beat = Implementation::Beat{due_s, period_s};
}

void Presenter::before_swap(std::function<void()> call) {
    implementation_->before_swap = std::move(call);
}

double Presenter::show(const CodeImage& image) {
    const ScreenInfo& screen = implementation_->info;
    ISOSEAM_CHECK_EQ(image.width, screen.width_px);
    ISOSEAM_CHECK_EQ(image.height, screen.height_px);
    ISOSEAM_CHECK_EQ(image.bits, screen.bits);
    implementation_->begin();
    implementation_->pictures->draw(image);
    return implementation_->finish();
}

double Presenter::show(const LinePattern& pattern) {
    const ScreenInfo& screen = implementation_->info;
    implementation_->begin();
    draw_lines(pattern, screen.width_px, screen.height_px, screen.bits);
    return implementation_->finish();
}

void Presenter::keep_read_back(bool keep) {
    implementation_->keeps_read_back = keep;
}

const CodeImage& Presenter::read_back() const {
    ISOSEAM_CHECK(implementation_->keeps_read_back && !implementation_->image.codes.empty(),
                  "keep_read_back(true) and a show() come first");
    return implementation_->image;
}

}  // namespace isoseam
