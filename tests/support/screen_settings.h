#pragma once
// Settings of an X screen, and what others do to a window on it, that a measurement or a session must notice.
// (Xlib's macros stay inside the source file.)

#include <functional>
#include <memory>
#include <string>

namespace isoseam::test {

// A virtual X server forgets its settings when nobody is connected to it: they last as long as this.
class ScreenSettings {
  public:
    explicit ScreenSettings(const std::string& display);  // "" for DISPLAY; std::runtime_error
    ~ScreenSettings();
    ScreenSettings(const ScreenSettings&) = delete;
    ScreenSettings& operator=(const ScreenSettings&) = delete;

    // The graphics card's table of every monitor: output = input ^ exponent.
    void set_colour_table(double exponent);
    void set_screen_saver(bool on);
    // Moves the window whose title begins so; false when there is none.
    bool move_window(const std::string& title_begins, int x_px, int y_px);
    // Takes it off the screen, as minimising does, or brings it back.
    bool show_window(const std::string& title_begins, bool shown);
    bool focus_window(const std::string& title_begins);
    // Says that a compositing manager runs on the first screen.
    void claim_compositing();
    // Of the window, as a whole number; -1 where it is not set.
    long window_property(const std::string& title_begins, const std::string& property);

  private:
    struct Connection;
    bool with_window(const std::string& title_begins, const std::function<void(unsigned long)>& act);
    std::unique_ptr<Connection> connection_;
};

}  // namespace isoseam::test
