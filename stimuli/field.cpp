#include "stimuli/field.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "colorimetry/errors.h"

namespace isoseam {

namespace {

// A field of fewer pixels would be nearly all edge.
constexpr double kSmallestFieldPx = 8.0;

Fault fault(const char* key, std::string found, std::string remedy) {
    return Fault{"", 0, 0, key, std::move(found), std::move(remedy)};
}

bool is_between_zero_and(double value, double limit) {
    return value > 0.0 && value < limit;
}

// Faults of the numbers themselves, before anything is laid out.
std::vector<Fault> faults_of(const FieldGeometry& geometry, const ViewingGeometry& viewing) {
    std::vector<Fault> faults;
    if (!(viewing.distance_mm > 0.0 && std::isfinite(viewing.distance_mm) && viewing.pixel_pitch_mm > 0.0 &&
          std::isfinite(viewing.pixel_pitch_mm) && viewing.width_px > 0 && viewing.height_px > 0)) {
        faults.push_back(
            fault("viewing",
                  fmt::format("distance {} mm, pixel pitch {} mm, screen {} x {} pixels", viewing.distance_mm,
                              viewing.pixel_pitch_mm, viewing.width_px, viewing.height_px),
                  "all of these must be greater than 0"));
    }
    const double size = geometry.size.degrees();
    if (!is_between_zero_and(size, 180.0))
        faults.push_back(
            fault("field.size", fmt::format("{} deg", size), "write an angle between 0 and 180 deg"));
    if (geometry.shape == FieldShape::annulus && !is_between_zero_and(geometry.inner_size.degrees(), size)) {
        faults.push_back(fault("field.inner_size", fmt::format("{} deg", geometry.inner_size.degrees()),
                               fmt::format("write an angle between 0 and the field's size, {} deg", size)));
    }
    if (!(geometry.gap.degrees() >= 0.0 && geometry.gap.degrees() < size)) {
        faults.push_back(
            fault("field.gap", fmt::format("{} deg", geometry.gap.degrees()),
                  fmt::format("write 0 deg or more, and less than the field's size, {} deg", size)));
    }
    if (!(geometry.split_angle_deg > -90.0 && geometry.split_angle_deg <= 90.0)) {
        faults.push_back(fault("field.split", fmt::format("{} deg from vertical", geometry.split_angle_deg),
                               "write an angle above -90 deg and up to 90 deg"));
    }
    if (geometry.fixation != FixationMark::none &&
        !is_between_zero_and(geometry.fixation_size.degrees(), size)) {
        faults.push_back(fault("field.fixation_size", fmt::format("{} deg", geometry.fixation_size.degrees()),
                               fmt::format("write an angle between 0 and the field's size, {} deg", size)));
    }
    return faults;
}

double coverage(double distance_px) {
    return std::clamp(0.5 - distance_px, 0.0, 1.0);
}

double outline_distance(const FieldLayout& layout, double x, double y) {
    switch (layout.geometry().shape) {
        case FieldShape::disc:
            return std::hypot(x, y) - layout.outer_px();
        case FieldShape::square:
            return std::max(std::abs(x), std::abs(y)) - layout.outer_px();
        case FieldShape::annulus:
            return std::max(std::hypot(x, y) - layout.outer_px(), layout.inner_px() - std::hypot(x, y));
    }
    ISOSEAM_CHECK(false, "a field of no known shape");
    return 0.0;
}

double fixation_coverage(const FieldLayout& layout, double x, double y) {
    const double half_size = layout.fixation_px();
    const double arm = layout.fixation_arm_px();
    switch (layout.geometry().fixation) {
        case FixationMark::none:
            return 0.0;
        case FixationMark::dot:
            return coverage(std::hypot(x, y) - half_size);
        case FixationMark::cross:
            return coverage(std::min(std::max(std::abs(x) - half_size, std::abs(y) - arm),
                                     std::max(std::abs(x) - arm, std::abs(y) - half_size)));
    }
    ISOSEAM_CHECK(false, "a fixation mark of no known form");
    return 0.0;
}

}  // namespace

std::string half_name(Half half, const FieldGeometry& geometry) {
    if (geometry.is_horizontal())
        return half == Half::first ? "upper" : "lower";
    return half == Half::first ? "left" : "right";
}

FieldLayout::FieldLayout(const FieldGeometry& geometry, const ViewingGeometry& viewing)
    : geometry_(geometry), viewing_(viewing) {
    std::vector<Fault> faults = faults_of(geometry, viewing);
    if (!faults.empty())
        throw InputError(std::move(faults));
    const auto half_extent_px = [&](Degrees angle) {
        return 0.5 * angle.extent_mm(viewing.distance_mm) / viewing.pixel_pitch_mm;
    };
    outer_px_ = half_extent_px(geometry.size);
    inner_px_ = geometry.shape == FieldShape::annulus ? half_extent_px(geometry.inner_size) : 0.0;
    half_gap_px_ = half_extent_px(geometry.gap);
    fixation_px_ = geometry.fixation == FixationMark::none ? 0.0 : half_extent_px(geometry.fixation_size);
    // Horizontal is a case of its own: the upper half comes first, and no rounding of a cosine tilts the
    // line.
    const double angle_rad = geometry.split_angle_deg * std::numbers::pi / 180.0;
    split_normal_x_ = geometry.is_horizontal() ? 0.0 : std::cos(angle_rad);
    split_normal_y_ = geometry.is_horizontal() ? 1.0 : -std::sin(angle_rad);

    const double room_px = std::min({viewing.centre_x_px, viewing.width_px - viewing.centre_x_px,
                                     viewing.centre_y_px, viewing.height_px - viewing.centre_y_px});
    if (!(outer_px_ <= room_px)) {
        throw InputError(fault("field.size",
                               fmt::format("{} deg at {} mm are {:.1f} pixels, but around ({}, {}) the "
                                           "screen of {} x {} pixels has room for "
                                           "{:.1f}",
                                           geometry.size.degrees(), viewing.distance_mm, 2.0 * outer_px_,
                                           viewing.centre_x_px, viewing.centre_y_px, viewing.width_px,
                                           viewing.height_px, 2.0 * std::max(room_px, 0.0)),
                               "make the field smaller, or sit farther away"));
    }
    if (!(2.0 * outer_px_ >= kSmallestFieldPx)) {
        throw InputError(
            fault("field.size",
                  fmt::format("{} deg at {} mm are {:.1f} pixels, fewer than {:.0f}", geometry.size.degrees(),
                              viewing.distance_mm, 2.0 * outer_px_, kSmallestFieldPx),
                  "make the field larger, or sit nearer"));
    }
}

RegionShares FieldLayout::shares(int column, int row) const {
    const double on_screen_x = column + 0.5 - viewing_.centre_x_px;
    const double x = viewing_.mirrored ? -on_screen_x : on_screen_x;
    const double y = row + 0.5 - viewing_.centre_y_px;
    const double inside = coverage(outline_distance(*this, x, y));
    const double across = split_normal_x_ * x + split_normal_y_ * y;
    const double mark = fixation_coverage(*this, x, y);
    const double first = inside * coverage(across + half_gap_px_);
    const double second = inside * coverage(half_gap_px_ - across);
    const double unmarked = 1.0 - mark;
    return {first * unmarked, second * unmarked, std::max(1.0 - first - second, 0.0) * unmarked, mark};
}

bool FieldLayout::is_interior(int column, int row) const {
    const auto region = [&](int dx, int dy) {
        const RegionShares here = shares(column + dx, row + dy);
        const std::array<double, 4> all{here.first, here.second, here.surround, here.fixation};
        const auto whole = std::find(all.begin(), all.end(), 1.0);
        return whole == all.end() ? -1 : static_cast<int>(whole - all.begin());
    };
    const int middle = region(0, 0);
    for (int dy = -1; middle >= 0 && dy <= 1; ++dy) {
        for (int dx = -1; dx <= 1; ++dx) {
            if (region(dx, dy) != middle)
                return false;
        }
    }
    return middle >= 0;
}

}  // namespace isoseam
