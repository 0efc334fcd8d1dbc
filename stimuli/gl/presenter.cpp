#include "stimuli/gl/presenter.h"

#include <GL/glew.h>
#include <SDL.h>
#include <fmt/format.h>

#include <array>
#include <chrono>
#include <thread>

#include "base/errors.h"
#include "stimuli/gl/caption_drawing.h"
#include "stimuli/gl/code_drawing.h"
#include "stimuli/gl/field_drawing.h"
#include "stimuli/gl/frame_clock.h"
#include "stimuli/gl/gl_program.h"
#include "stimuli/gl/gl_window.h"
#include "stimuli/gl/line_drawing.h"
#include "stimuli/gl/page_drawing.h"

namespace isoseam {

namespace {

void sleep_until(double time_s) {
    const double left_s = time_s - steady_seconds();
    if (left_s > 0.0)
        std::this_thread::sleep_for(std::chrono::duration<double>(left_s));
}

}  // namespace

struct Presenter::Implementation {
    struct Beat {
        double due_s;
        double period_s;
    };

    GlWindow window;
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

    double finish();
};

Presenter::Implementation::Implementation(const PresenterOptions& options) : window(options) {
    fields = std::make_unique<FieldDrawing>();
    pages = std::make_unique<PageDrawing>();
    captions = std::make_unique<CaptionDrawing>();
    pictures = std::make_unique<CodeDrawing>();
    clock = std::make_unique<FrameClock>(window.get());
    check_gl("setting up");
}

Presenter::Implementation::~Implementation() {
    if (window.make_current()) {
        fields.reset();
        pages.reset();
        captions.reset();
        pictures.reset();
    }
}

double Presenter::Implementation::finish() {
    if (keeps_read_back)
        image = window.back_buffer();
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
    return implementation_->window.info();
}

double Presenter::show(const FieldPicture& picture, const std::string& caption) {
    const ScreenInfo& screen = implementation_->window.info();
    const ViewingGeometry& viewing = picture.layout.viewing();
    ISOSEAM_CHECK_EQ(viewing.width_px, screen.width_px);
    ISOSEAM_CHECK_EQ(viewing.height_px, screen.height_px);
    ISOSEAM_CHECK_EQ(picture.bits, screen.bits);
    implementation_->window.begin_frame();
    implementation_->fields->draw(picture);
    if (!caption.empty())
        implementation_->captions->draw(caption, picture, implementation_->pages->setter());
    return implementation_->finish();
}

double Presenter::show(const Page& page) {
    const ScreenInfo& screen = implementation_->window.info();
    implementation_->window.begin_frame();
    implementation_->pages->draw(page, screen.width_px, screen.height_px, screen.bits);
    return implementation_->finish();
}

bool Presenter::fits(const Page& page) const {
    const ScreenInfo& screen = implementation_->window.info();
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
    const ScreenInfo& screen = implementation_->window.info();
    ISOSEAM_CHECK(patch.left_px >= 0 && patch.top_px >= 0 && patch.width_px > 0 && patch.height_px > 0 &&
                      patch.left_px + patch.width_px <= screen.width_px &&
                      patch.top_px + patch.height_px <= screen.height_px,
                  fmt::format("a patch of {} x {} at {}, {}", patch.width_px, patch.height_px, patch.left_px,
                              patch.top_px));
    implementation_->window.begin_frame();
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
    const ScreenInfo& screen = implementation_->window.info();
    ISOSEAM_CHECK_EQ(image.width, screen.width_px);
    ISOSEAM_CHECK_EQ(image.height, screen.height_px);
    ISOSEAM_CHECK_EQ(image.bits, screen.bits);
    implementation_->window.begin_frame();
    implementation_->pictures->draw(image);
    return implementation_->finish();
}

double Presenter::show(const LinePattern& pattern) {
    const ScreenInfo& screen = implementation_->window.info();
    implementation_->window.begin_frame();
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
