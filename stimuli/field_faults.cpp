#include "stimuli/field_faults.h"

#include <fmt/format.h>

#include <cmath>

namespace isoseam {

namespace {

bool is_between_zero_and(double value, double limit) {
    return value > 0.0 && value < limit;
}

void add_viewing_faults(const ViewingGeometry& viewing, std::vector<Fault>& faults) {
    if (!(viewing.distance_mm > 0.0 && std::isfinite(viewing.distance_mm) && viewing.pixel_pitch_mm > 0.0 &&
          std::isfinite(viewing.pixel_pitch_mm) && viewing.width_px > 0 && viewing.height_px > 0)) {
        faults.push_back(field_fault(
            "viewing",
            fmt::format("distance {} mm, pixel pitch {} mm, screen {} x {} pixels", viewing.distance_mm,
                        viewing.pixel_pitch_mm, viewing.width_px, viewing.height_px),
            "all of these must be greater than 0"));
    }
}

void add_split_faults(const FieldGeometry& geometry, std::vector<Fault>& faults) {
    const double size = geometry.size.degrees();
    const double gap = geometry.gap.degrees();
    if (!(gap >= 0.0 && gap < size)) {
        faults.push_back(
            field_fault("field.gap", fmt::format("{} deg", gap),
                        fmt::format("write 0 deg or more, and less than the field's size, {} deg", size)));
    }
    const bool is_spot = geometry.parts == FieldParts::spot;
    if (is_spot && gap > 0.0) {
        faults.push_back(field_fault("field.gap", fmt::format("{} deg in a field of one part", gap),
                                     "leave it out, or split the field"));
    }
    if (geometry.hairline && (is_spot || gap > 0.0)) {
        faults.push_back(field_fault("field.hairline",
                                     is_spot ? "a line between the parts of a field that has only one"
                                             : fmt::format("besides a gap of {} deg", gap),
                                     is_spot ? "leave it out, or split the field" : "leave one of them out"));
    }
    const double angle = geometry.split_angle_deg;
    if (geometry.parts == FieldParts::quadrants) {
        if (!(angle > -45.0 && angle <= 45.0)) {
            faults.push_back(
                field_fault("field.split", fmt::format("{} deg from vertical in quadrants", angle),
                            "write an angle above -45 deg and up to 45 deg: a cross turned by 90 deg is the "
                            "same cross"));
        }
    } else if (!(angle > -90.0 && angle <= 90.0)) {
        faults.push_back(field_fault("field.split", fmt::format("{} deg from vertical", angle),
                                     "write an angle above -90 deg and up to 90 deg"));
    }
}

// Faults of the field's outline and of the ring around it.
void add_edge_faults(const FieldGeometry& geometry, std::vector<Fault>& faults) {
    const double size = geometry.size.degrees();
    const double edge = geometry.edge_width.degrees();
    const bool is_annulus = geometry.shape == FieldShape::annulus;
    const double inner = is_annulus ? geometry.inner_size.degrees() : 0.0;
    const double widest = is_annulus ? std::min(inner, 0.5 * (size - inner)) : size;
    if (!(edge >= 0.0 && (edge == 0.0 || edge < widest))) {
        faults.push_back(
            field_fault("field.edge_width", fmt::format("{} deg", edge),
                        fmt::format("write 0 deg or more, and less than {} deg, so that some of the field is "
                                    "left in full",
                                    widest)));
    }
    const double ring = geometry.ring_size.degrees();
    if (!(ring == 0.0 || (ring > size + std::max(edge, 0.0) && ring < 180.0))) {
        faults.push_back(field_fault(
            "field.ring_size", fmt::format("{} deg", ring),
            fmt::format("write 0 deg for none, or more than the field with its edge, {} deg", size + edge)));
    }
}

}  // namespace

Fault field_fault(const char* key, std::string found, std::string remedy) {
    return Fault{"", 0, 0, key, std::move(found), std::move(remedy)};
}

std::vector<Fault> field_faults(const FieldGeometry& geometry, const ViewingGeometry& viewing) {
    std::vector<Fault> faults;
    add_viewing_faults(viewing, faults);
    const double size = geometry.size.degrees();
    if (!is_between_zero_and(size, 180.0))
        faults.push_back(
            field_fault("field.size", fmt::format("{} deg", size), "write an angle between 0 and 180 deg"));
    if (geometry.shape == FieldShape::annulus && !is_between_zero_and(geometry.inner_size.degrees(), size)) {
        faults.push_back(
            field_fault("field.inner_size", fmt::format("{} deg", geometry.inner_size.degrees()),
                        fmt::format("write an angle between 0 and the field's size, {} deg", size)));
    }
    add_split_faults(geometry, faults);
    if (geometry.fixation != FixationMark::none &&
        !is_between_zero_and(geometry.fixation_size.degrees(), size)) {
        faults.push_back(
            field_fault("field.fixation_size", fmt::format("{} deg", geometry.fixation_size.degrees()),
                        fmt::format("write an angle between 0 and the field's size, {} deg", size)));
    }
    add_edge_faults(geometry, faults);
    return faults;
}

}  // namespace isoseam
