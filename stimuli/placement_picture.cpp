#include "stimuli/placement_picture.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr int kTickPx = 4;  // half the length of a tick
constexpr int kLongTickPx = 10;
constexpr int kDegreesBetweenLongTicks = 5;

class Sheet {
  public:
    Sheet(int width, int height, int bits, const std::array<std::uint16_t, 3>& line_code)
        : image_{width, height, bits,
                 std::vector<std::uint16_t>(static_cast<std::size_t>(width) *
                                            static_cast<std::size_t>(height) * 3)},
          line_code_(line_code) {}

    void dot(int column, int row) {
        if (column < 0 || row < 0 || column >= image_.width || row >= image_.height)
            return;
        const std::size_t first = (static_cast<std::size_t>(row) * static_cast<std::size_t>(image_.width) +
                                   static_cast<std::size_t>(column)) *
                                  3;
        std::copy(line_code_.begin(), line_code_.end(), image_.codes.begin() + static_cast<long>(first));
    }

    CodeImage finished() { return std::move(image_); }

  private:
    CodeImage image_;
    std::array<std::uint16_t, 3> line_code_;
};

std::size_t largest_region(const FieldLayout& layout, int column, int row) {
    const PartShares shares = layout.part_shares(column, row);
    return static_cast<std::size_t>(std::max_element(shares.begin(), shares.end()) - shares.begin());
}

// The pixel in which a line at this place falls.
int pixel_at(double place) {
    return static_cast<int>(std::floor(place));
}

void draw_outlines(const FieldLayout& layout, Sheet& sheet) {
    const ViewingGeometry& viewing = layout.viewing();
    const double extent = layout.extent_px() + 1.0;
    const int left = std::max(pixel_at(viewing.centre_x_px - extent), 0);
    const int right = std::min(pixel_at(viewing.centre_x_px + extent), viewing.width_px - 1);
    const int top = std::max(pixel_at(viewing.centre_y_px - extent), 0);
    const int bottom = std::min(pixel_at(viewing.centre_y_px + extent), viewing.height_px - 1);
    std::vector<std::size_t> above(static_cast<std::size_t>(right - left + 1));
    for (int row = top; row <= bottom; ++row) {
        std::size_t before = 0;
        for (int column = left; column <= right; ++column) {
            const std::size_t region = largest_region(layout, column, row);
            std::size_t& over = above[static_cast<std::size_t>(column - left)];
            if ((column > left && region != before) || (row > top && region != over))
                sheet.dot(column, row);
            before = region;
            over = region;
        }
    }
}

void draw_ruler(const ViewingGeometry& viewing, Sheet& sheet) {
    const int x = pixel_at(viewing.centre_x_px);
    const int y = pixel_at(viewing.centre_y_px);
    for (int column = 0; column < viewing.width_px; ++column)
        sheet.dot(column, y);
    for (int row = 0; row < viewing.height_px; ++row)
        sheet.dot(x, row);
    const int most = viewing.width_px + viewing.height_px;
    for (int degree = 1; degree < 90; ++degree) {
        const double offset =
            viewing.distance_mm * std::tan(degree * std::numbers::pi / 180.0) / viewing.pixel_pitch_mm;
        if (offset > most)
            break;
        const int half = degree % kDegreesBetweenLongTicks == 0 ? kLongTickPx : kTickPx;
        for (const double signed_offset : {offset, -offset}) {
            for (int along = -half; along <= half; ++along) {
                sheet.dot(pixel_at(viewing.centre_x_px + signed_offset), y + along);
                sheet.dot(x + along, pixel_at(viewing.centre_y_px + signed_offset));
            }
        }
    }
}

}  // namespace

CodeImage placement_picture(const FieldLayout& layout, int bits,
                            const std::array<std::uint16_t, 3>& line_code) {
    ISOSEAM_CHECK(bits == 8 || bits == 10);
    const ViewingGeometry& viewing = layout.viewing();
    Sheet sheet(viewing.width_px, viewing.height_px, bits, line_code);
    draw_ruler(viewing, sheet);
    draw_outlines(layout, sheet);
    return sheet.finished();
}

}  // namespace isoseam
