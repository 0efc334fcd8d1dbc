#pragma once
// A window or a full screen that shows fields and pages exactly, and what the participant presses.
//
//     VideoSystem video;
//     Presenter presenter(video, PresenterOptions{});
//     presenter.show(picture);
//     const std::optional<InputEvent> event = video.next_event(0.5);

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stimuli/frame_watch.h"
#include "stimuli/gl/x11_desktop.h"
#include "stimuli/gl/x11_screen.h"
#include "stimuli/ink_picture.h"
#include "stimuli/picture.h"

namespace isoseam {

struct ScreenInfo {
    int index = 0;
    std::string name;
    int width_px = 0;  // of the drawable
    int height_px = 0;
    double refresh_hz = 0.0;   // 0 where the system does not tell
    int bits = 8;              // per channel of the frame buffer that was obtained
    std::string video_driver;  // "x11"
    std::string renderer;      // OpenGL's words
    std::string gl_version;
};

struct PresenterOptions {
    int screen = 0;           // index of the display
    bool full_screen = true;  // else a window of this size
    int width_px = 1024;
    int height_px = 768;
    std::optional<int> x_px;  // of the window's upper left corner on its screen; centred where not given
    std::optional<int> y_px;
    // 10 falls back to 8 where the screen has no 10-bit frame buffer; 8 may still give 10 where it has no
    // other (an X screen of depth 30). ScreenInfo::bits is what was obtained.
    int wanted_bits = 10;
    std::string title = "Isoseam";
};

// Keys and what they do. An empty label stands between two ways of doing it.
struct KeyRow {
    std::vector<std::string> keys;
    std::string meaning;
};

// A page of text for the participant. Its background is plain, dark or light, and it holds no numbers of the
// experiment.
// Text is white or black, whichever stands out more, as large as a 28th of the shorter side times
// `type_size`, and smaller (down to a third of a 28th) where the page would not fit; a page that does not fit
// then is an InputError (key "page").
struct Page {
    std::string heading;
    std::vector<std::string> paragraphs;             // UTF-8, wrapped to the page
    std::string foot;                                // "[Space bar]: go on"; in brackets: drawn as a key
    std::array<std::uint16_t, 3> background_code{};  // at the frame buffer's depth
    double progress = -1.0;                          // 0..1 draws a plain bar; negative: none
    bool mirrored = false;             // flipped left to right, for a screen that is seen in a mirror
    std::vector<KeyRow> keys;          // below the paragraphs, keys drawn as keys
    std::vector<std::string> choices;  // one below the other
    int chosen = -1;                   // the one with a frame and a mark; -1: none
    std::optional<std::string> entry;  // what was typed, in a box with a caret
    double type_size = 1.0;            // 1 or more
    // Right of all text but the foot, in its own size: only type is made smaller so that a page fits.
    std::shared_ptr<const InkPicture> picture{};
};

// A plain patch on a plain surround in codes of the frame buffer, for measuring a screen: no calibration, no
// edge, no dither.
struct CodePatch {
    int left_px = 0;  // the patch covers columns left_px to left_px + width_px - 1 of the drawable
    int top_px = 0;
    int width_px = 0;
    int height_px = 0;
    std::array<std::uint16_t, 3> code{};
    std::array<std::uint16_t, 3> surround_code{};
};

// Where a window is, and whether somebody sees it.
struct WindowState {
    int x_px = 0;  // of its upper left corner, over all screens
    int y_px = 0;
    int screen = 0;
    bool shown = true;      // not minimised or hidden
    bool has_focus = true;  // gets the keys
    int width_px = 0;       // of the drawable
    int height_px = 0;
};

// Grey lines over the whole window, from the upper edge `lit` of every `period` at full code and the others
// at 0, and a uniform grey square in its middle, a third of the shorter side wide. For tone curves by eye.
struct LinePattern {
    int lit = 1;  // 1 .. period - 1
    int period = 2;
    std::uint16_t patch_code = 0;  // at the frame buffer's depth
};

// What the participant did. Names of keys are SDL's scancode names ("Left", "Space"), independent of layout
// language.
//
// A knob is the one axis that VideoSystem::listen_to was told of; `knob` tells where it stands.
struct InputEvent {
    enum class Kind {
        key_down,
        wheel,
        gamepad_button,
        gamepad_axis,
        gamepad_added,
        gamepad_removed,
        window_closed,
        focus_lost,
        focus_gained,
        window_changed,  // shown, hidden, minimised, moved, resized; a screen came, went or changed
        knob,
        knob_removed,
    };
    Kind kind = Kind::key_down;
    std::string name;     // key, button ("a", "dpup") or axis ("leftx") by SDL's names
    std::string label{};  // of a key in the keyboard layout that is set: "W", "-", "Ö"
    double value = 0.0;   // wheel steps; axis position -1..1
    int device = 0;       // of a knob: its numbers
    int axis = 0;
    bool shift = false;   // a shift key is held
    bool repeat = false;  // key auto-repeat
    double time_s = 0.0;  // steady clock, seconds
};

// A game controller, joystick, knob or pedal, as the system lists it.
struct InputDevice {
    int number = 0;  // as long as nothing is plugged in or out
    std::string name;
    bool is_gamepad = false;  // whose buttons are known by name
    int axes = 0;
    int buttons = 0;
};

// SDL's video and game controllers, for as long as it lives; one at a time. MachineError "no screen" when
// there is none, with what to do. Keeps the screen saver off; leaves SIGINT and SIGTERM to the program.
class VideoSystem {
  public:
    VideoSystem();
    ~VideoSystem();
    VideoSystem(const VideoSystem&) = delete;
    VideoSystem& operator=(const VideoSystem&) = delete;

    int screen_count() const;
    // Waits at most timeout_s (0: polls) for one event.
    std::optional<InputEvent> next_event(double timeout_s);
    // The controllers that SDL knows how to read, and the names of attached ones that it does not.
    std::vector<std::string> gamepads() const;
    std::vector<std::string> unknown_gamepads() const;
    std::vector<InputDevice> input_devices() const;
    // From now on tells where this axis stands, now and whenever it moves, and no more of it as an axis of a
    // gamepad; also after the device was plugged out and in again. Without `axis` it listens to all axes.
    // InputError (key "knob") when there is no such device or axis.
    void listen_to(int device, std::optional<int> axis);
    // False while one of these devices is plugged out.
    bool hears_all() const;
    // What is printed on a key in the keyboard layout that is set: key_label("W") is "Z" on a French one.
    std::string key_label(const std::string& key) const;

  private:
    struct Implementation;
    std::unique_ptr<Implementation> implementation_;
};

// One window or screen with an OpenGL 3.3 core context. MachineErrors: no such screen, no OpenGL 3.3, no
// font, a window that was resized by somebody else, a context that the graphics card lost. Never touches the
// display's own gamma tables. Several may live at once.
class Presenter {
  public:
    Presenter(VideoSystem& video, const PresenterOptions& options);
    ~Presenter();
    Presenter(const Presenter&) = delete;
    Presenter& operator=(const Presenter&) = delete;

    const ScreenInfo& info() const;
    // Draws and swaps; returns after the swap. The picture's layout must have the drawable's size and its
    // bits the frame buffer's (checked). Returns the steady-clock time after the swap, in seconds.
    // `caption`: words below the field, in the surround; left out where the field leaves no room for them.
    double show(const FieldPicture& picture, const std::string& caption = "");
    double show(const Page& page);
    // Whether the page fits in type that is not smaller than the usual one, whatever its own type_size.
    bool fits(const Page& page) const;
    double show(const CodePatch& patch);  // inside the drawable (checked)
    WindowState state() const;
    // See x11_screen.h; nothing where the system does not tell.
    std::optional<ColourTables> colour_tables() const;
    std::optional<std::string> screen_asleep() const;
    // See x11_desktop.h.
    std::optional<std::vector<std::string>> screen_modes() const;
    std::optional<bool> compositing_manager() const;
    double show(const LinePattern& pattern);
    double show(const CodeImage& image);  // of the drawable's size and the frame buffer's depth (checked)
    // When the last show() was on, and what its time is the time of.
    const FrameStamp& stamp() const;
    StampKind stamp_kind() const;
    // From now on stamps do not go by the driver's count of refreshes, which proved of no use
    // (refresh_numbers_work).
    void distrust_refresh_numbers();
    // The next show() exchanges the buffers at that time, not before: see paced_show_s. For screens that wait
    // for nothing.
    void keep_beat(double due_s, double period_s);
    // Called before each exchange of buffers. For tests, which stall or fail there.
    void before_swap(std::function<void()> call);
    // What the last show() put into the frame buffer, read before the swap. Reading takes time, and is off
    // until it is asked for.
    void keep_read_back(bool keep);
    const CodeImage& read_back() const;

  private:
    struct Implementation;
    std::unique_ptr<Implementation> implementation_;
};

double steady_seconds();

}  // namespace isoseam
