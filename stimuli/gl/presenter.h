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
    // The size of the drawable.
    int width_px = 0;
    int height_px = 0;
    double refresh_hz = 0.0;   // 0 where the system does not tell it.
    int bits = 8;              // The bits of each channel of the frame buffer that was obtained.
    std::string video_driver;  // For example "x11".
    std::string renderer;      // The graphics card in OpenGL's words.
    std::string gl_version;
};

struct PresenterOptions {
    int screen = 0;           // The index of the display.
    bool full_screen = true;  // Otherwise a window of the size below.
    int width_px = 1024;
    int height_px = 768;
    // The window's upper left corner on its screen. Without a value the window is centred.
    std::optional<int> x_px;
    std::optional<int> y_px;
    // If 10 is wanted and the screen has no 10-bit frame buffer, 8 is used. If 8 is wanted, 10 may be used
    // where the screen has nothing else (an X screen of depth 30). ScreenInfo::bits is what was obtained.
    int wanted_bits = 10;
    std::string title = "Isoseam";
};

// Keys and what they do. An empty label separates two ways of doing it.
struct KeyRow {
    std::vector<std::string> keys;
    std::string meaning;
};

// A page of text for the participant. Its background is plain, dark or light, and it holds no numbers of the
// experiment.
// The text is white or black, whichever stands out more. Its size is a 28th of the shorter side times
// `type_size`. Where the page would not fit, it is smaller, down to a third of a 28th. A page that does not
// fit even then is an InputError (key "page").
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
    // A picture to the right of all text but the foot, in its own size. To make a page fit, only the type is
    // made smaller, never the picture.
    std::shared_ptr<const InkPicture> picture{};
};

// A plain patch on a plain surround in codes of the frame buffer, for measuring a screen. It has no
// calibration, no soft edge and no dither.
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
    // The window's upper left corner, counted over all screens.
    int x_px = 0;
    int y_px = 0;
    int screen = 0;
    bool shown = true;      // not minimised or hidden
    bool has_focus = true;  // gets the keys
    int width_px = 0;       // of the drawable
    int height_px = 0;
};

// Grey lines over the whole window, and a uniform grey square in its middle, which is a third of the shorter
// side wide. Counted from the upper edge, `lit` lines of every `period` are at full code and the others at 0.
// The pattern serves to find tone curves by eye.
struct LinePattern {
    int lit = 1;  // 1 .. period - 1
    int period = 2;
    std::uint16_t patch_code = 0;  // at the frame buffer's depth
};

// What the participant did. Names of keys are SDL's scancode names ("Left", "Space"), independent of layout
// language.
//
// A knob is the axis that VideoSystem::listen_to() was told of. The event `knob` tells where it stands.
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
        // The window was shown, hidden, minimised, moved or resized, or a screen came, went or changed.
        window_changed,
        knob,
        knob_removed,
    };
    Kind kind = Kind::key_down;
    std::string name;     // SDL's name of the key, of the button ("a", "dpup") or of the axis ("leftx").
    std::string label{};  // The key's label in the keyboard layout that is set: "W", "-", "Ö".
    double value = 0.0;   // The steps of the wheel, or the position of the axis from -1 to 1.
    // The numbers of a knob's device and axis.
    int device = 0;
    int axis = 0;
    bool shift = false;   // Whether a shift key is held.
    bool repeat = false;  // Whether the keyboard repeated the key by itself.
    double time_s = 0.0;  // steady clock, seconds
};

// A game controller, joystick, knob or pedal, as the system lists it.
struct InputDevice {
    int number = 0;  // It is valid until something is plugged in or out.
    std::string name;
    bool is_gamepad = false;  // Whether its buttons are known by name.
    int axes = 0;
    int buttons = 0;
};

// Holds SDL's video and game controllers for as long as it lives. Only one may live at a time. MachineError
// "no screen", with what to do, when there is none. It keeps the screen saver off and leaves SIGINT and
// SIGTERM to the program.
class VideoSystem {
  public:
    VideoSystem();
    ~VideoSystem();
    VideoSystem(const VideoSystem&) = delete;
    VideoSystem& operator=(const VideoSystem&) = delete;

    int screen_count() const;
    // Waits at most timeout_s for one event. At 0 it does not wait.
    std::optional<InputEvent> next_event(double timeout_s);
    // The controllers that SDL knows how to read, and the names of attached ones that it does not.
    std::vector<std::string> gamepads() const;
    std::vector<std::string> unknown_gamepads() const;
    std::vector<InputDevice> input_devices() const;
    // From now on there are `knob` events for this axis: one that tells where it stands now, and one whenever
    // it moves. They continue after the device was plugged out and in again. The axis no longer gives events
    // as an axis of a gamepad. Without `axis` it listens to all axes. InputError (key "knob") when there is
    // no such device or axis.
    void listen_to(int device, std::optional<int> axis);
    // False while one of these devices is plugged out.
    bool hears_all() const;
    // What is printed on a key in the keyboard layout that is set. On a French one key_label("W") is "Z".
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
    // Draws the picture and exchanges the buffers. Returns the steady-clock time after the exchange, in
    // seconds. The picture's layout must have the drawable's size, and its bits must be the frame buffer's
    // (checked). `caption` are words below the field, in the surround. They are left out where the field
    // leaves no room for them.
    double show(const FieldPicture& picture, const std::string& caption = "");
    double show(const Page& page);
    // Whether the page fits in type that is not smaller than the usual one, whatever its own type_size.
    bool fits(const Page& page) const;
    double show(const CodePatch& patch);  // The patch must lie inside the drawable (checked).
    WindowState state() const;
    // See x11_screen.h. No value where the system does not tell.
    std::optional<ColourTables> colour_tables() const;
    std::optional<std::string> screen_asleep() const;
    // See x11_desktop.h.
    std::optional<std::vector<std::string>> screen_modes() const;
    std::optional<bool> compositing_manager() const;
    double show(const LinePattern& pattern);
    // The image must have the drawable's size and the frame buffer's depth (checked).
    double show(const CodeImage& image);
    // The time of the last show(), and the event that this is the time of.
    const FrameStamp& stamp() const;
    StampKind stamp_kind() const;
    // From now on stamps do not use the driver's count of refreshes, which proved useless (see
    // refresh_numbers_work()).
    void distrust_refresh_numbers();
    // The next show() exchanges the buffers at that time and not before (see paced_show_s()). This is for
    // screens that wait for nothing.
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
