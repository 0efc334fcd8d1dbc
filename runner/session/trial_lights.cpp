#include "runner/session/trial_lights.h"

#include "runner/station/flicker_presentation.h"

namespace isoseam {

TrialLights lights_of(const SessionContext& context, int condition) {
    const Setup& setup = context.setup();
    TrialLights lights;
    lights.reference = setup.reference(condition);
    if (setup.protocol().conditions[static_cast<std::size_t>(condition)].rings)
        lights.rings = {setup.ring(condition, Half::first), setup.ring(condition, Half::second)};
    if (setup.protocol().flicker)
        lights.flicker = setup.flicker(setup.solver(setup.field_source()).display().calibration().refresh_hz);
    return lights;
}

LinearDrive light_at(const AdjustmentProblem& problem, const Level& position) {
    const auto axes = static_cast<Eigen::Index>(position.size());
    return stimulus_at(problem, Eigen::Map<const Eigen::VectorXd>(position.data(), axes)).linear;
}

FieldLights TrialLights::field(const Setup& setup, const LinearDrive& adjusted) const {
    FieldLights lights;
    lights.halves[static_cast<std::size_t>(setup.reference_half())] = reference;
    lights.halves[static_cast<std::size_t>(setup.protocol().adjusted)] = adjusted;
    lights.rings = rings;
    return lights;
}

Presentation TrialLights::in_turns(const Setup& setup, const LinearDrive& adjusted) const {
    Presentation presentation =
        flicker_presentation(*flicker, {{reference, reference}, {adjusted, adjusted}});
    presentation.compared = field(setup, adjusted);
    presentation.longest_s = setup.protocol().flicker->longest_s;
    return presentation;
}

}  // namespace isoseam
