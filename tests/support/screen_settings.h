#pragma once
// Settings of an X screen that a measurement must notice. (Xlib's macros stay inside the source file.)

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

  private:
    struct Connection;
    std::unique_ptr<Connection> connection_;
};

}  // namespace isoseam::test
