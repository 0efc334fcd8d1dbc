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
    // What may change the picture without the program's doing and can be told beforehand: `refuse` unless
    // somebody decides otherwise; `warn` is only recorded.
    struct Findings {
        std::vector<std::string> refuse;
        std::vector<std::string> warn;
    };
    virtual Findings findings() = 0;

    virtual void show(const ShownPatch& patch) = 0;
    // What now keeps the patch from being seen as planned, with a way out; nothing if all is well.
    virtual std::optional<ReadingFailure> disturbance() = 0;
    // Waits at most so long for somebody to press something.
    virtual Press wait(double timeout_s) = 0;
    // Waits for somebody to press Return or the space bar; false when it was Escape.
    bool wait_for_go_on();
    // Whether a person can see it and aim an instrument at it.
    virtual bool is_seen() const = 0;
    virtual double now_s() = 0;
    // A reading was made, by an instrument that needs about so long; only simulated time takes note.
    virtual void reading_made(double about_s) = 0;
};

// Nothing is shown, and time is simulated: rehearsals, simulated instruments and tables made elsewhere.
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

// A window or a full screen with three primaries. MachineErrors of Presenter, and one when the frame buffer
// has not the bits that were asked for.
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
    std::optional<WindowState> first_;  // where the window was when the first patch was shown
    std::optional<ColourTables> tables_at_first_;
};

// Where a place falls on a screen: whole pixels, at least one, inside it. The place's edges to the nearest.
CodePatch code_patch(const ShownPatch& patch, int width_px, int height_px, int bits);

}  // namespace isoseam
