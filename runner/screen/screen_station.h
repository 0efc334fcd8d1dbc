#pragma once
// A person at one or two screens, with keyboard, mouse wheel, knob or gamepad.

#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/output_file.h"
#include "runner/screen/field_composer.h"
#include "runner/screen/input_map.h"
#include "runner/screen/screen_clock.h"
#include "runner/station/phrases.h"
#include "runner/station/station.h"
#include "stimuli/gl/presenter.h"
#include "stimuli/gl/sound_player.h"

namespace isoseam {

struct ScreenOptions {
    // The display of each source; sources on one display share one window.
    std::vector<int> screen_of_source;
    bool full_screen = true;
    int window_width_px = 1024;
    int window_height_px = 768;
    std::string picture;                  // the PNG file for the first field as it is drawn; empty: none
    OutputRules picture_rules;            // whether that file may replace another
    std::optional<double> latency_ms;     // latency of the display, as the experimenter states it
    Dither dither;                        // kind and key of the field's dither
    Placement placement;                  // where the field stands on each screen
    bool despite_unsynchronised = false;  // present timed frames although they do not wait for the screen
    // This is called before each exchange of buffers. It is for tests, which stall or fail there.
    std::function<void()> before_swap;
    KeySet keys = KeySet::both;
    std::optional<KnobAxis> knob;
    bool sounds = false;
    double text_size = 1.0;                  // see Page::type_size
    std::shared_ptr<const Phrases> phrases;  // without them English is used
};

// Whatever keeps the observer from seeing or answering is reported as an interruption: another window has the
// keyboard, the window is hidden or has another size, a monitor was unplugged or set differently, the screen
// sleeps, the graphics card lost its picture, the knob was unplugged. While it lasts nothing is drawn that
// cannot be drawn, and no error is thrown; a lost window is opened anew.
class ScreenStation : public Station {
  public:
    // Opens the windows and measures their clocks. InputError when a source has not three primaries or the
    // field does not fit; MachineErrors of Presenter. `setup` and `video` outlive the station.
    ScreenStation(const Setup& setup, VideoSystem& video, ScreenOptions options);

    std::vector<SourceRecord> sources() const override;
    std::vector<ScreenRecord> screens() const override;
    void show_page(const Instruction& page) override;
    std::optional<std::array<int, 2>> screen_size_px() const override;
    void show_adaptation(double left) override;
    double show_field(const FieldLights& lights) override;
    Action wait(double timeout_s) override;
    // MachineErrors: there are two screens, each of which refreshes on its own, so that their frames cannot
    // be timed together; or frames do not wait for the screen, unless the options allow that.
    Action show_presentation(const Presentation& presentation, PresentationProgress& progress) override;
    // Throws the MachineErrors of show_presentation() before anybody sits down.
    void check_timing() const;
    std::optional<std::string> interruption() override;
    double now_s() override { return steady_seconds(); }
    // An escape is not dropped: it comes next, since it counts at every moment.
    void forget_presses() override;
    void expect(const Expected& expected) override;
    std::vector<KeyHint> key_hints(const Expected& expected) const override;
    int take_ignored_presses() override { return input_.take_ignored(); }
    void sound(Sound sound) override;
    void use_language(const std::string& language) override;
    // Returns false for two screens, and where frames do not wait for the screen, unless the options allow
    // that.
    bool shows_frames() const override;

    // Returns a warning when sounds are wanted and there is no sound device.
    std::vector<std::string> sound_warnings() const;
    // Returns one warning for each screen on which a compositing manager runs.
    std::vector<std::string> compositor_warnings() const;

  private:
    struct Window {
        int screen = 0;
        std::unique_ptr<Presenter> presenter;  // none while it is lost and could not be opened anew
        std::unique_ptr<FieldLayout> layout;
        ScreenInfo info;
        WindowState as_opened;
        std::optional<std::vector<std::string>> modes_as_opened;
        ScreenClock clock;
    };
    void open(Window& window) const;
    void open_anew(Window& window);
    const Window& window_of_source(int source) const;
    bool lit_by(const Window& window, int source) const;
    double calibrated_hz(const Window& window) const;
    Page plain(const Window& window, const LinearDrive& light) const;
    LinearDrive paper() const;

    // Draws. If that fails because the window was lost, notes it.
    void draw(Window& window, const std::function<void(Presenter&)>& show);
    double show_on(Window& window, const FieldLights& lights);
    bool keeps_picture() const;
    // Shows a page in the window of the field's source; other windows go dark.
    void show_screen(const Page& page);
    std::string disturbance() const;
    std::string disturbance_of(const Window& window) const;
    std::string changed_screen() const;
    std::string disturbance_or_change() const;
    Action new_interruption(std::string what);

    const Setup& setup_;
    VideoSystem& video_;
    ScreenOptions options_;
    std::vector<Window> windows_;
    FieldComposer composer_;
    int field_source_;  // the source that lights surround, fixation mark, adaptation and pages
    Expected expected_;
    InputMap input_;
    bool escape_kept_ = false;
    // The screens of an instruction that follow the one that is shown.
    std::deque<Page> screens_to_read_;
    std::unique_ptr<SoundPlayer> sounds_;
    // The reason why there is no sound; empty while there is sound, or none is wanted.
    std::string no_sound_;
    bool picture_saved_ = false;
    std::string lost_;  // why a window was lost; empty while all are there
    bool interruption_told_ = false;
};

}  // namespace isoseam
