#include "stimuli/field.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "base/errors.h"
#include "stimuli/coverage.h"
#include "stimuli/field_faults.h"

namespace isoseam {

namespace {

// A field of fewer pixels would be nearly all edge.
constexpr double kSmallestFieldPx = 8.0;
// A narrower transition would fall between the pixels, whose middles alone it is computed for.
constexpr double kSmallestSoftEdgePx = 2.0;

constexpr std::size_t index_of(FieldRegion region) {
    return static_cast<std::size_t>(region);
}

// The share that an outline of this radius, or half side, encloses of the pixel centred at (x, y).
double enclosed(bool is_square, double x, double y, double radius_px, double edge_px) {
    if (edge_px > 0.0) {
        return is_square ? raised_cosine(std::abs(x) - radius_px, edge_px) *
                               raised_cosine(std::abs(y) - radius_px, edge_px)
                         : raised_cosine(std::sqrt(x * x + y * y) - radius_px, edge_px);
    }
    return is_square ? interval_coverage(x, radius_px) * interval_coverage(y, radius_px)
                     : disc_coverage(x, y, radius_px);
}

double fixation_share(const FieldLayout& layout, double x, double y) {
    const double half_size = layout.fixation_px();
    const double arm = layout.fixation_arm_px();
    switch (layout.geometry().fixation) {
        case FixationMark::none:
            return 0.0;
        case FixationMark::dot:
            return disc_coverage(x, y, half_size);
        case FixationMark::cross: {
            const double lying = interval_coverage(x, half_size) * interval_coverage(y, arm);
            const double standing = interval_coverage(x, arm) * interval_coverage(y, half_size);
            return lying + standing - interval_coverage(x, arm) * interval_coverage(y, arm);
        }
    }
    ISOSEAM_CHECK(false, "a fixation mark of no known form");
    return 0.0;
}

// The shares of both sides of a line. A band along the line belongs to neither.
struct Sides {
    double negative;
    double positive;
};
Sides sides_of(double distance_px, double normal_x, double normal_y, double half_gap_px) {
    return {line_coverage(distance_px + half_gap_px, normal_x, normal_y),
            line_coverage(half_gap_px - distance_px, normal_x, normal_y)};
}

}  // namespace

std::string half_name(Half half, const FieldGeometry& geometry) {
    const bool first = half == Half::first;
    if (geometry.parts == FieldParts::quadrants)
        return first ? "others" : "odd";
    if (geometry.parts == FieldParts::spot)
        return first ? "first" : "second";
    if (geometry.is_horizontal())
        return first ? "upper" : "lower";
    return first ? "left" : "right";
}

std::string light_of_half(Half half, const FieldGeometry& geometry) {
    if (geometry.parts == FieldParts::quadrants)
        return half == Half::first ? "other quadrants" : "odd quadrant";
    return half_name(half, geometry) + (geometry.parts == FieldParts::spot ? " light" : " half");
}

std::string quadrant_name(int quadrant, const FieldGeometry& geometry) {
    ISOSEAM_CHECK_BETWEEN(quadrant, 0, 3);
    constexpr std::array<const char*, 4> kUpright{"upper left", "upper right", "lower left", "lower right"};
    constexpr std::array<const char*, 4> kTurned{"left", "upper", "lower", "right"};
    const auto at = static_cast<std::size_t>(quadrant);
    return geometry.split_angle_deg == 45.0 ? kTurned[at] : kUpright[at];
}

FieldLayout::FieldLayout(const FieldGeometry& geometry, const ViewingGeometry& viewing)
    : geometry_(geometry), viewing_(viewing) {
    std::vector<Fault> faults = field_faults(geometry, viewing);
    throw_if_any(faults);
    const auto extent_px = [&](Degrees angle) {
        return angle.extent_mm(viewing.distance_mm) / viewing.pixel_pitch_mm;
    };
    outer_px_ = 0.5 * extent_px(geometry.size);
    inner_px_ = geometry.shape == FieldShape::annulus ? 0.5 * extent_px(geometry.inner_size) : 0.0;
    half_gap_px_ = geometry.hairline ? 0.5 : 0.5 * extent_px(geometry.gap);
    fixation_px_ = geometry.fixation == FixationMark::none ? 0.0 : 0.5 * extent_px(geometry.fixation_size);
    ring_px_ = 0.5 * extent_px(geometry.ring_size);
    edge_px_ = extent_px(geometry.edge_width);
    // Horizontal is a case of its own: the upper half comes first, and no rounding of a cosine tilts the
    // line.
    const double angle_rad = geometry.split_angle_deg * std::numbers::pi / 180.0;
    split_normal_x_ = geometry.is_horizontal() ? 0.0 : std::cos(angle_rad);
    split_normal_y_ = geometry.is_horizontal() ? 1.0 : -std::sin(angle_rad);
    place_hairline();
    check_room();
}

// Centred between two pixels, a line of one pixel would be two half-lit ones.
void FieldLayout::place_hairline() {
    if (!geometry_.hairline || (geometry_.split_angle_deg != 0.0 && !geometry_.is_horizontal()))
        return;
    const double x_px = 0.5 - (viewing_.centre_x_px - std::floor(viewing_.centre_x_px));
    const double seen_x_px = viewing_.mirrored ? -x_px : x_px;
    const double y_px = 0.5 - (viewing_.centre_y_px - std::floor(viewing_.centre_y_px));
    split_offset_px_ = geometry_.is_horizontal() ? y_px : seen_x_px;
    second_offset_px_ = y_px;
}

void FieldLayout::check_room() const {
    const double room_px = std::min({viewing_.centre_x_px, viewing_.width_px - viewing_.centre_x_px,
                                     viewing_.centre_y_px, viewing_.height_px - viewing_.centre_y_px});
    const auto at_distance = [&](double degrees, double pixels) {
        return fmt::format("{} deg at {} mm are {:.1f} pixels", degrees, viewing_.distance_mm, pixels);
    };
    if (!(extent_px() <= room_px)) {
        const bool is_ring = ring_px_ > 0.0;
        const double degrees = is_ring ? geometry_.ring_size.degrees()
                                       : geometry_.size.degrees() + geometry_.edge_width.degrees();
        throw InputError(field_fault(
            is_ring ? "field.ring_size" : "field.size",
            fmt::format("{}, but around ({}, {}) the screen of {} x {} pixels has room for {:.1f}",
                        at_distance(degrees, 2.0 * extent_px()), viewing_.centre_x_px, viewing_.centre_y_px,
                        viewing_.width_px, viewing_.height_px, 2.0 * std::max(room_px, 0.0)),
            is_ring ? "make the ring smaller, or sit farther away"
                    : "make the field smaller, or sit farther away"));
    }
    if (!(2.0 * outer_px_ >= kSmallestFieldPx)) {
        throw InputError(
            field_fault("field.size",
                        fmt::format("{}, fewer than {:.0f}",
                                    at_distance(geometry_.size.degrees(), 2.0 * outer_px_), kSmallestFieldPx),
                        "make the field larger, or sit nearer"));
    }
    if (!(edge_px_ == 0.0 || edge_px_ >= kSmallestSoftEdgePx)) {
        throw InputError(field_fault(
            "field.edge_width",
            fmt::format("{}, fewer than {:.0f}", at_distance(geometry_.edge_width.degrees(), edge_px_),
                        kSmallestSoftEdgePx),
            "write 0 deg for a sharp edge, or a wider one"));
    }
}

FieldLayout FieldLayout::with_divided_ring() const {
    ISOSEAM_CHECK(geometry_.parts == FieldParts::halves && ring_px_ > 0.0, "no ring to divide");
    FieldLayout divided = *this;
    divided.has_divided_ring_ = true;
    return divided;
}

PartShares FieldLayout::part_shares(int column, int row) const {
    const double on_screen_x = column + 0.5 - viewing_.centre_x_px;
    const double x = viewing_.mirrored ? -on_screen_x : on_screen_x;
    const double y = row + 0.5 - viewing_.centre_y_px;
    const bool is_square = geometry_.shape == FieldShape::square;
    const double within = enclosed(is_square, x, y, outer_px_, edge_px_);
    const double hole = inner_px_ > 0.0 ? enclosed(false, x, y, inner_px_, edge_px_) : 0.0;
    const double field = std::max(within - hole, 0.0);

    const double ring =
        ring_px_ > 0.0 ? std::max(enclosed(is_square, x, y, ring_px_, 0.0) - within, 0.0) : 0.0;

    PartShares shares{};
    const auto share = [&](FieldRegion region) -> double& { return shares[index_of(region)]; };
    share(FieldRegion::ring_first) = ring;
    if (geometry_.parts == FieldParts::spot) {
        share(FieldRegion::part_0) = field;
    } else {
        const double across = split_normal_x_ * x + split_normal_y_ * y - split_offset_px_;
        const Sides side = sides_of(across, split_normal_x_, split_normal_y_, half_gap_px_);
        Sides second{1.0, 0.0};
        if (geometry_.parts == FieldParts::quadrants) {
            const double along = split_normal_x_ * y - split_normal_y_ * x - second_offset_px_;
            second = sides_of(along, -split_normal_y_, split_normal_x_, half_gap_px_);
        }
        share(FieldRegion::part_0) = field * side.negative * second.negative;
        share(FieldRegion::part_1) = field * side.positive * second.negative;
        share(FieldRegion::part_2) = field * side.negative * second.positive;
        share(FieldRegion::part_3) = field * side.positive * second.positive;
        if (has_divided_ring_) {
            share(FieldRegion::ring_first) = ring * side.negative;
            share(FieldRegion::ring_second) = ring * side.positive;
        }
    }
    double covered = 0.0;
    for (const double part : shares)
        covered += part;
    share(FieldRegion::surround) = std::max(1.0 - covered, 0.0);
    const double mark = fixation_share(*this, x, y);
    for (double& part : shares)
        part *= 1.0 - mark;
    share(FieldRegion::fixation) = mark;
    return shares;
}

RegionShares FieldLayout::shares(int column, int row, int odd_quadrant) const {
    const PartShares by_region = part_shares(column, row);
    RegionShares shares;
    const int second = geometry_.parts == FieldParts::quadrants ? odd_quadrant : 1;
    for (int part = 0; part < 4; ++part)
        (part == second ? shares.second : shares.first) += by_region[static_cast<std::size_t>(part)];
    shares.surround = by_region[index_of(FieldRegion::surround)];
    shares.fixation = by_region[index_of(FieldRegion::fixation)];
    shares.ring = by_region[index_of(FieldRegion::ring_first)];
    shares.ring_second = by_region[index_of(FieldRegion::ring_second)];
    return shares;
}

bool FieldLayout::is_interior(int column, int row) const {
    const auto region = [&](int dx, int dy) {
        const PartShares here = part_shares(column + dx, row + dy);
        const auto whole = std::find(here.begin(), here.end(), 1.0);
        return whole == here.end() ? -1 : static_cast<int>(whole - here.begin());
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

std::vector<std::string> place_names(const FieldGeometry& field) {
    if (field.parts == FieldParts::quadrants) {
        std::vector<std::string> names;
        for (int quadrant = 0; quadrant < kQuadrants; ++quadrant)
            names.push_back(quadrant_name(quadrant, field));
        return names;
    }
    return {half_name(Half::first, field), half_name(Half::second, field)};
}

}  // namespace isoseam
