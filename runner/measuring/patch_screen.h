#pragma once
// Where the patches of a measurement are shown.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "calibration/instruments/instrument.h"
#include "calibration/measuring/measuring_log.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

class PatchScreen {
  public:
    // What somebody pressed.
    enum class Press { none, go_on, pause, leave };

    virtual ~PatchScreen() = default;
    virtual ScreenShown description() const = 0;
    // What may change the picture without the program's doing, and is known beforehand. The measurement is
    // refused for what stands in `refuse`, unless somebody decides otherwise. What stands in `warn` is only
    // recorded.
    struct Findings {
        std::vector<std::string> refuse;
        std::vector<std::string> warn;
    };
    virtual Findings findings() = 0;

    virtual void show(const ShownPatch& patch) = 0;
    // Returns what now keeps the patch from being seen as planned, with a way out; none if all is well.
    virtual std::optional<ReadingFailure> disturbance() = 0;
    // Waits at most this long for somebody to press something.
    virtual Press wait(double timeout_s) = 0;
    // Waits for somebody to press Return or the space bar. Returns false when Escape was pressed.
    bool wait_for_go_on();
    // Whether a person can see the screen and aim an instrument at it.
    virtual bool is_seen() const = 0;
    virtual double now_s() = 0;
    // Says that a reading was made, by an instrument that takes about this long. Only simulated time takes
    // note of it.
    virtual void reading_made(double about_s) = 0;
};

// A screen that shows nothing and simulates time. It serves rehearsals, simulated instruments and tables made
// elsewhere.
class NoPatchScreen : public PatchScreen {
  public:
    explicit NoPatchScreen(int bits) : bits_(bits) {}
    ScreenShown description() const override;
    Findings findings() override { return {}; }
    void show(const ShownPatch& patch) override;
    std::optional<ReadingFailure> disturbance() override { return std::nullopt; }
    Press wait(double timeout_s) override;
    bool is_seen() const override { return false; }
    double now_s() override { return now_s_; }
    void reading_made(double about_s) override { now_s_ += about_s; }

  private:
    int bits_;
    double now_s_ = 0.0;
};

struct PatchScreenOptions {
    int screen = 0;
    int bits = 8;
    bool full_screen = true;
    int window_width_px = 1024;
    int window_height_px = 768;
};

// A window or a full screen with three primaries. Throws the MachineErrors of Presenter, and one more when
// the frame buffer has not the bits that were asked for.
class WindowPatchScreen : public PatchScreen {
  public:
    WindowPatchScreen(VideoSystem& video, const PatchScreenOptions& options);
    ScreenShown description() const override;
    Findings findings() override;
    void show(const ShownPatch& patch) override;
    std::optional<ReadingFailure> disturbance() override;
    Press wait(double timeout_s) override;
    bool is_seen() const override { return true; }
    double now_s() override { return steady_seconds(); }
    void reading_made(double /*about_s*/) override {}

  private:
    VideoSystem& video_;
    PatchScreenOptions options_;
    Presenter presenter_;
    std::optional<WindowState> first_;  // the window's state when the first patch was shown
    std::optional<ColourTables> tables_at_first_;
};

// Returns where a patch's place falls on a screen. Its edges go to the nearest whole pixels, and it has at
// least one pixel, inside the screen.
CodePatch code_patch(const ShownPatch& patch, int width_px, int height_px, int bits);

}  // namespace isoseam
