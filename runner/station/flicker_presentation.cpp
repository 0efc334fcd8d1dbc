#include "runner/station/flicker_presentation.h"

namespace isoseam {

FieldLights flicker_lights(const Flicker& flicker, const ExchangedLights& lights, std::int64_t frame) {
    const FrameWeights weights = flicker_frame(flicker, frame);
    FieldLights field;
    for (std::size_t half = 0; half < 2; ++half) {
        field.halves[half].fractions = weights.halves[half].a * lights.a[half].fractions +
                                       weights.halves[half].b * lights.b[half].fractions;
    }
    field.frame = frame;
    return field;
}

Presentation flicker_presentation(const Flicker& flicker, const ExchangedLights& lights) {
    return {[flicker, lights](std::int64_t frame) { return flicker_lights(flicker, lights, frame); },
            flicker_lights(flicker, lights, 0), flicker.end_frame};
}

}  // namespace isoseam
