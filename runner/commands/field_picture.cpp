#include "runner/commands/field_picture.h"

#include "runner/screen/field_composer.h"

namespace isoseam {

std::string field_png(const Setup& setup, const FieldLights& lights, DitherKind dither) {
    const int source = setup.field_source();
    const Calibration& calibration = setup.solver(source).display().calibration();
    const FieldLayout layout(setup.protocol().field,
                             viewing_geometry(setup, source, calibration.width_px, calibration.height_px));
    const FieldComposer composer(setup);
    return png_bytes(draw_reference(
        composer.picture(layout, calibration.bits, lights, [](int) { return true; }, {.kind = dither})));
}

}  // namespace isoseam
