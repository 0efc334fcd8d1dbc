#pragma once
// The bipartite field: its form in degrees of visual angle, and where it falls on a screen's pixels.

#include <algorithm>
#include <string>

#include "colorimetry/quantity.h"

namespace isoseam {

// The halves of a bipartite field. With a vertical or oblique split: first = left, second = right;
// horizontal: first = upper, second = lower.
enum class Half { first = 0, second = 1 };
inline Half other(Half half) {
    return half == Half::first ? Half::second : Half::first;
}

enum class FieldShape { disc, square, annulus };
enum class FixationMark { none, dot, cross };

// All angles are visual angles, the field centred on the line of sight.
struct FieldGeometry {
    FieldShape shape = FieldShape::disc;
    Degrees size = Degrees::from_degrees(2.0);  // diameter, or side of the square; > 0
    Degrees inner_size;                         // annulus: diameter of the hole, > 0 and < size
    // Direction of the split line as the observer sees it, degrees anticlockwise from vertical, in (-90, 90]:
    // 0 vertical, 90 horizontal; at +45 the line's upper end leans to the left, like a backslash.
    double split_angle_deg = 0.0;
    Degrees gap;  // width of the band between the halves, lit by the surround; >= 0
    FixationMark fixation = FixationMark::none;
    Degrees fixation_size = Degrees::from_degrees(0.2);

    bool is_horizontal() const { return split_angle_deg == 90.0; }
};
std::string half_name(Half half, const FieldGeometry& geometry);  // "left", "right", "upper", "lower"

// How the observer sees the screen.
struct ViewingGeometry {
    double distance_mm = 0.0;
    double pixel_pitch_mm = 0.0;
    int width_px = 0;
    int height_px = 0;
    double centre_x_px = 0.0;  // where the field's centre falls, from the left edge; usually width / 2
    double centre_y_px = 0.0;  // from the upper edge
    // true where this screen is seen in a mirror: the picture is drawn flipped left to right
    bool mirrored = false;
};

// What covers a pixel: shares that add up to 1.
struct RegionShares {
    double first = 0.0;
    double second = 0.0;
    double surround = 0.0;
    double fixation = 0.0;
};

// A field laid on pixels. All lengths in pixels (a flat screen: the tangent of the angle, not the angle
// itself).
class FieldLayout {
  public:
    // InputError with all faults: key "field.size" when the field does not fit on the screen or spans less
    // than 8 pixels; also "field.inner_size", "field.gap", "field.split", "field.fixation_size" and "viewing"
    // outside the ranges above.
    FieldLayout(const FieldGeometry& geometry, const ViewingGeometry& viewing);

    const FieldGeometry& geometry() const { return geometry_; }
    const ViewingGeometry& viewing() const { return viewing_; }
    double outer_px() const { return outer_px_; }  // radius or half side
    double inner_px() const { return inner_px_; }
    double half_gap_px() const { return half_gap_px_; }
    double fixation_px() const { return fixation_px_; }  // half size of the mark
    // Half the thickness of a cross's arms: a fifth of its half size, but at least half a pixel.
    double fixation_arm_px() const { return std::max(0.2 * fixation_px_, 0.5); }
    // Unit vector across the split line from the first half to the second, in the picture as seen: x to the
    // right, y down.
    double split_normal_x() const { return split_normal_x_; }
    double split_normal_y() const { return split_normal_y_; }

    // Pixel (column, row), row 0 on top. Edges are anti-aliased over one pixel by signed distance: share =
    // clamp(0.5 - distance, 0, 1). The shader computes the same formula. A mirrored picture is flipped about
    // the field's centre.
    RegionShares shares(int column, int row) const;
    // Whether the pixel and its neighbours lie wholly inside one region.
    bool is_interior(int column, int row) const;

  private:
    FieldGeometry geometry_;
    ViewingGeometry viewing_;
    double outer_px_ = 0.0;
    double inner_px_ = 0.0;
    double half_gap_px_ = 0.0;
    double fixation_px_ = 0.0;
    double split_normal_x_ = 1.0;
    double split_normal_y_ = 0.0;
};

}  // namespace isoseam
