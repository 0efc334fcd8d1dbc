#pragma once
// The field: its form in degrees of visual angle, and where it falls on a screen's pixels.
//
//     FieldGeometry geometry;
//     geometry.size = Degrees::from_degrees(10.0);
//     const FieldLayout layout(geometry, viewing);
//     const RegionShares covered = layout.shares(column, row);

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>

#include "base/quantity.h"

namespace isoseam {

// The halves of a bipartite field. With a vertical or oblique split the first is the left half and the second
// the right one. With a horizontal split the first is the upper half and the second the lower one.
enum class Half { first = 0, second = 1 };
inline Half other(Half half) {
    return half == Half::first ? Half::second : Half::first;
}

enum class FieldShape { disc, square, annulus };
enum class FixationMark { none, dot, cross };
// `halves` is the bipartite field. `quadrants` are four parts, three of one light and the odd one of the
// other. `spot` is one part: the whole field has one light.
enum class FieldParts { halves, quadrants, spot };
inline constexpr int kQuadrants = 4;

// All angles are visual angles. The field is centred on the line of sight.
struct FieldGeometry {
    FieldShape shape = FieldShape::disc;
    Degrees size = Degrees::from_degrees(2.0);  // diameter, or side of the square; > 0
    Degrees inner_size;                         // annulus: diameter of the hole, > 0 and < size
    // The direction of the split line as the observer sees it, in degrees anticlockwise from vertical, in
    // (-90, 90]. 0 is vertical and 90 is horizontal. At +45 the line's upper end leans to the left, like a
    // backslash. Quadrants have a second line across the first, and an angle in (-45, 45].
    double split_angle_deg = 0.0;
    // The width of the band between the parts, which has the surround's light. At least 0, and 0 for a spot.
    Degrees gap;
    FixationMark fixation = FixationMark::none;
    Degrees fixation_size = Degrees::from_degrees(0.2);
    FieldParts parts = FieldParts::halves;
    // Whether there is, instead of a gap, a line of exactly one pixel with the surround's light. Upright and
    // level lines lie on the column or row of pixels nearest to the field's centre. A spot has no such line.
    bool hairline = false;
    // The outer diameter, or the side, of a ring around the field that has a light of its own. 0: no ring.
    // The ring is larger than the field with its soft edge. Around a square field it is a square.
    Degrees ring_size;
    // The width of the transition of light along the field's outline, and along an annulus's hole. The
    // transition is half a period of a raised cosine, centred on the outline. 0 is a sharp edge. A soft edge
    // must be at least 2 pixels wide and leave some of the field in full light.
    Degrees edge_width;

    bool is_horizontal() const { return split_angle_deg == 90.0; }
    friend bool operator==(const FieldGeometry&, const FieldGeometry&) = default;
};
// "left", "right", "upper" or "lower"; "others" and "odd" for quadrants, "first" and "second" for a spot.
std::string half_name(Half half, const FieldGeometry& geometry);
// The same as words for a sentence: "left half", "odd quadrant", "other quadrants", "second light".
std::string light_of_half(Half half, const FieldGeometry& geometry);
// Quadrants 0 to 3 are "upper left", "upper right", "lower left" and "lower right"; with the cross at 45
// degrees they are "left", "upper", "lower" and "right".
std::string quadrant_name(int quadrant, const FieldGeometry& geometry);

// How the observer sees the screen.
struct ViewingGeometry {
    double distance_mm = 0.0;
    double pixel_pitch_mm = 0.0;
    int width_px = 0;
    int height_px = 0;
    double centre_x_px = 0.0;  // where the field's centre falls, from the left edge; usually width / 2
    double centre_y_px = 0.0;  // from the upper edge
    // Whether this screen is seen in a mirror. The picture is then drawn flipped left to right.
    bool mirrored = false;

    friend bool operator==(const ViewingGeometry&, const ViewingGeometry&) = default;
};

// What may cover a pixel. Halves use part_0 (first) and part_1 (second). A spot uses part_0. Quadrants use
// all four: upper left, upper right, lower left and lower right with an upright cross, otherwise turned with
// the cross. A ring in one piece is ring_first. A divided ring has one side for each half.
enum class FieldRegion { part_0, part_1, part_2, part_3, ring_first, ring_second, surround, fixation };
inline constexpr std::size_t kRegionCount = 8;
using PartShares = std::array<double, kRegionCount>;  // by FieldRegion; they add up to 1

// The shares of a pixel by light. In quadrants `second` is the odd one and `first` the other three. A spot is
// `first` alone.
struct RegionShares {
    double first = 0.0;
    double second = 0.0;
    double surround = 0.0;
    double fixation = 0.0;
    double ring = 0.0;  // the side beside the first half where the ring is divided
    double ring_second = 0.0;
};

// A field laid on pixels. All lengths are in pixels. Because the screen is flat, they follow the tangent of
// the angle and not the angle itself.
class FieldLayout {
  public:
    // InputError with all faults. The key is "field.size" when the field does not fit on the screen or spans
    // less than 8 pixels. The keys "field.inner_size", "field.gap", "field.hairline", "field.split",
    // "field.fixation_size", "field.ring_size", "field.edge_width" and "viewing" are for values outside the
    // ranges above.
    FieldLayout(const FieldGeometry& geometry, const ViewingGeometry& viewing);

    const FieldGeometry& geometry() const { return geometry_; }
    const ViewingGeometry& viewing() const { return viewing_; }
    // The same layout with the ring divided along the split line, gap or hairline included, so that each half
    // has its own side of the ring. The field must be in halves and have a ring (checked).
    FieldLayout with_divided_ring() const;
    bool has_divided_ring() const { return has_divided_ring_; }
    double outer_px() const { return outer_px_; }  // radius or half side
    double inner_px() const { return inner_px_; }
    double half_gap_px() const { return half_gap_px_; }  // half a pixel for a hairline
    double ring_px() const { return ring_px_; }          // outer radius or half side of the ring; 0 for none
    double edge_px() const { return edge_px_; }          // width of the soft edge; 0 for a sharp one
    // Everything farther than this from the centre, across or up, is surround.
    double extent_px() const { return std::max(outer_px_ + 0.5 * edge_px_, ring_px_); }
    double fixation_px() const { return fixation_px_; }  // half size of the mark
    // Half the thickness of a cross's arms: a fifth of its half size, but at least half a pixel.
    double fixation_arm_px() const { return std::max(0.2 * fixation_px_, 0.5); }
    // The unit vector across the split line from the first half to the second, in the picture as it is seen.
    // x points to the right and y down.
    double split_normal_x() const { return split_normal_x_; }
    double split_normal_y() const { return split_normal_y_; }

    // The shares of the pixel (column, row), with row 0 on top. At a sharp edge the shares are the exact
    // areas. Where several edges cross one pixel, their shares are multiplied. A mirrored picture is flipped
    // about the field's centre.
    PartShares part_shares(int column, int row) const;
    RegionShares shares(int column, int row, int odd_quadrant = 0) const;
    // Whether the pixel and its neighbours lie wholly inside one region.
    bool is_interior(int column, int row) const;

    friend bool operator==(const FieldLayout&, const FieldLayout&) = default;

  private:
    void check_room() const;
    void place_hairline();

    FieldGeometry geometry_;
    ViewingGeometry viewing_;
    double outer_px_ = 0.0;
    double inner_px_ = 0.0;
    double half_gap_px_ = 0.0;
    double fixation_px_ = 0.0;
    double ring_px_ = 0.0;
    double edge_px_ = 0.0;
    // How far the split line, and the second line of quadrants, are moved along their normals.
    double split_offset_px_ = 0.0;
    double second_offset_px_ = 0.0;
    double split_normal_x_ = 1.0;
    double split_normal_y_ = 0.0;
    bool has_divided_ring_ = false;
};

// The places that a question about a place chooses from, in their order: the halves "left" and "right" (or
// "upper" and "lower"), the quadrants by name, or for a spot the intervals "first" and "second".
std::vector<std::string> place_names(const FieldGeometry& field);

}  // namespace isoseam
