#pragma once
// A person at one or two screens, with keyboard, mouse wheel or gamepad.

#include <memory>
#include <string>
#include <vector>

#include "runner/field_composer.h"
#include "runner/input_map.h"
#include "runner/station.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

struct ScreenOptions {
    std::vector<int>
        screen_of_source;  // display index of each source; sources on the same display share one window
    bool full_screen = true;
    int window_width_px = 1024;
    int window_height_px = 768;
    std::string picture;  // where to save the first field as it was drawn (PNG); empty: nowhere
};

class ScreenStation : public Station {
  public:
    // Opens the windows. InputError when a source has not three primaries or the field does not fit;
    // MachineErrors of Presenter. `setup` and `video` outlive the station.
    ScreenStation(const Setup& setup, VideoSystem& video, ScreenOptions options);

    std::vector<SourceRecord> sources() const override;
    std::vector<ScreenRecord> screens() const override;
    void show_page(const Instruction& page) override;
    void show_adaptation(double left) override;
    double show_field(const FieldLights& lights) override;
    Action wait(double timeout_s) override;
    double now_s() override { return steady_seconds(); }
    void forget_presses() override;

  private:
    struct Window {
        int screen = 0;
        std::unique_ptr<Presenter> presenter;
        std::unique_ptr<FieldLayout> layout;
    };
    const Window& window_of_source(int source) const;
    bool lit_by(const Window& window, int source) const;

    const Setup& setup_;
    VideoSystem& video_;
    ScreenOptions options_;
    std::vector<Window> windows_;
    FieldComposer composer_;
    int field_source_;  // lights surround, fixation mark, adaptation and pages
    InputMap input_;
    bool picture_saved_ = false;
};

}  // namespace isoseam
