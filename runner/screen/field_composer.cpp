#include "runner/screen/field_composer.h"

#include <fmt/format.h>

namespace isoseam {

FieldComposer::FieldComposer(const Setup& setup) : setup_(setup) {
    for (int source = 0; source < setup.source_count(); ++source) {
        const DisplayModel& display = setup.solver(source).display();
        if (display.primary_count() != 3) {
            throw InputError(
                Fault{display.calibration().file, 0, 0, "primaries",
                      fmt::format("a source with {} primaries cannot be shown in a window",
                                  display.primary_count()),
                      "use a screen's calibration with three primaries, or rehearse the protocol instead"});
        }
        tones_.push_back(tone_table(display));
    }
}

FieldPicture FieldComposer::picture(const FieldLayout& layout, int bits, const FieldLights& lights,
                                    const std::function<bool(int source)>& lit, const Dither& dither) const {
    const Protocol& protocol = setup_.protocol();
    const auto region = [&](const LinearDrive& linear, int source) {
        return region_light(linear, setup_.solver(source).display(), bits);
    };
    const auto half_source = [&](Half half) {
        return protocol.rig.half_source[static_cast<std::size_t>(half)];
    };
    const auto half = [&](Half which) {
        const int source = half_source(which);
        return lit(source) ? region(lights.halves[static_cast<std::size_t>(which)], source) : RegionLight{};
    };
    const auto tone = [&](int source) -> const ToneTable& {
        return tones_[static_cast<std::size_t>(source)];
    };
    const int field_source = setup_.field_source();
    FieldPicture picture(layout, bits, tone(field_source));
    picture.first = half(Half::first);
    picture.tone_first = tone(half_source(Half::first));
    picture.second = half(Half::second);
    picture.tone_second = tone(half_source(Half::second));
    if (lit(field_source)) {
        picture.surround = region(setup_.surround(field_source), field_source);
        if (protocol.field.fixation != FixationMark::none)
            picture.fixation = region(setup_.fixation(field_source), field_source);
        if (protocol.ring || lights.rings)
            light_rings(lights, bits, picture);
    }
    picture.mark_hidden = lights.mark_hidden;
    picture.odd_quadrant = lights.odd_quadrant;
    picture.dither = dither;
    return picture;
}

void FieldComposer::light_rings(const FieldLights& lights, int bits, FieldPicture& picture) const {
    const int source = setup_.field_source();
    const auto ring = [&](const LinearDrive& linear) {
        return region_light(linear, setup_.solver(source).display(), bits);
    };
    picture.ring = ring(lights.rings ? lights.rings->front() : setup_.ring(source));
    if (!lights.rings)
        return;
    const RegionLight second = ring(lights.rings->back());
    if (setup_.protocol().field.parts == FieldParts::halves)
        picture.ring_second = second;
    else
        ISOSEAM_CHECK(second == picture.ring, "a ring of two lights around a field without halves");
}

std::array<std::uint16_t, 3> FieldComposer::background(const LinearDrive& linear, int bits) const {
    return region_light(linear, setup_.solver(setup_.field_source()).display(), bits).code;
}

ViewingGeometry viewing_geometry(const Setup& setup, int source, int width_px, int height_px,
                                 const Placement& placement) {
    const Protocol& protocol = setup.protocol();
    ViewingGeometry viewing;
    viewing.distance_mm = protocol.rig.distance_mm;
    viewing.pixel_pitch_mm = setup.solver(source).display().calibration().pixel_pitch_mm;
    viewing.width_px = width_px;
    viewing.height_px = height_px;
    const PlacedSource centre =
        placed(placement, protocol.rig.sources[static_cast<std::size_t>(source)].name, width_px, height_px);
    viewing.centre_x_px = centre.x_px;
    viewing.centre_y_px = centre.y_px;
    viewing.mirrored = protocol.rig.mirrored[static_cast<std::size_t>(source)];
    return viewing;
}

}  // namespace isoseam
