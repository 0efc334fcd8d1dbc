#pragma once
// A field on the screen of a desk, 640 x 480 pixels around its centre, and what covers which pixel of it.

#include <catch2/catch.hpp>
#include <cmath>

#include "stimuli/field.h"

namespace isoseam::test {

inline ViewingGeometry desk_screen() {
    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = 0.25;
    viewing.width_px = 640;
    viewing.height_px = 480;
    viewing.centre_x_px = 320.0;
    viewing.centre_y_px = 240.0;
    return viewing;
}

inline FieldGeometry field_of(double size_deg, FieldShape shape = FieldShape::disc) {
    FieldGeometry geometry;
    geometry.size = Degrees::from_degrees(size_deg);
    geometry.shape = shape;
    return geometry;
}

// The areas of the regions, added up over all pixels.
inline RegionShares total_px(const FieldLayout& layout) {
    RegionShares total;
    for (int row = 0; row < layout.viewing().height_px; ++row) {
        for (int column = 0; column < layout.viewing().width_px; ++column) {
            const RegionShares here = layout.shares(column, row);
            const double sum =
                here.first + here.second + here.surround + here.fixation + here.ring + here.ring_second;
            if (!(std::abs(sum - 1.0) <= 1e-12 && here.first >= 0.0 && here.second >= 0.0 &&
                  here.surround >= 0.0 && here.fixation >= 0.0 && here.ring >= 0.0 &&
                  here.ring_second >= 0.0))
                FAIL("shares of pixel " << column << ", " << row << " add up to " << sum);
            total.first += here.first;
            total.second += here.second;
            total.surround += here.surround;
            total.fixation += here.fixation;
            total.ring += here.ring;
            total.ring_second += here.ring_second;
        }
    }
    return total;
}

// Which region covers the pixel at an offset from the field's centre: x to the right, y down.
inline char region_at(const FieldLayout& layout, int x, int y) {
    const RegionShares here = layout.shares(320 + x, 240 + y);
    return here.first == 1.0         ? '1'
           : here.second == 1.0      ? '2'
           : here.surround == 1.0    ? 's'
           : here.fixation == 1.0    ? 'f'
           : here.ring == 1.0        ? 'r'
           : here.ring_second == 1.0 ? 'R'
                                     : '?';
}

}  // namespace isoseam::test
