#pragma once
// What an X screen shows, pixel by pixel. (Xlib's macros stay inside the source file.)

#include <array>
#include <memory>
#include <string>
#include <vector>

namespace isoseam::test {

class ScreenPixels {
  public:
    // Of the X display named so; "" for DISPLAY. std::runtime_error when it cannot be opened.
    explicit ScreenPixels(const std::string& display = "");
    ~ScreenPixels();
    ScreenPixels(const ScreenPixels&) = delete;
    ScreenPixels& operator=(const ScreenPixels&) = delete;

    int width() const;
    int height() const;
    int bits() const;  // per channel
    std::array<unsigned, 3> codes(int column, int row) const;
    // Of all pixels of a rectangle, row by row.
    std::vector<std::array<unsigned, 3>> block(int column, int row, int width, int height) const;

  private:
    struct Connection;
    std::unique_ptr<Connection> connection_;
};

}  // namespace isoseam::test
