#include "runner/commands/protocol/field_preview.h"

#include <fmt/format.h>

#include <utility>

#include "base/output_file.h"
#include "runner/commands/session_options.h"
#include "runner/screen/field_composer.h"

namespace isoseam {
namespace {

int condition_index(const Protocol& protocol, const std::string& name) {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        if (name.empty() || protocol.conditions[i].name == name)
            return static_cast<int>(i);
        names.push_back(protocol.conditions[i].name);
    }
    throw InputError(Fault{protocol.file, 0, 0, "--condition",
                           fmt::format("there is no condition '{}'", name),
                           fmt::format("name one of: {}", fmt::join(names, ", "))});
}

// Returns the light that lies this far from the predicted match along the first axis.
LinearDrive shown_at(const AdjustmentProblem& problem, const std::string& level, const std::string& file) {
    Eigen::VectorXd position = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem.axes.size()));
    if (!level.empty())
        position[0] = level.back() == '%' ? parse_quantity(level, Dimension::fraction) : parse_number(level);
    DriveSolution solution = stimulus_at(problem, position);
    if (!solution.in_gamut) {
        throw InputError(Fault{file, 0, 0, "--level",
                               fmt::format("{} along {} is out of gamut", level, problem.axes.front().name),
                               "write a smaller level"});
    }
    return std::move(solution.linear);
}

}  // namespace

void write_preview(const Setup& setup, const PreviewOptions& options) {
    const OutputRules rules{options.force, files_read_for(setup)};
    check_output(options.path, "--out", rules);
    const int condition = condition_index(setup.protocol(), options.condition);
    const int source = setup.field_source();
    const Calibration& calibration = setup.solver(source).display().calibration();
    const AdjustmentProblem problem = setup.adjustment(condition, {calibration.bits, options.dither});
    FieldLights lights;
    lights.halves[static_cast<std::size_t>(setup.reference_half())] = setup.reference(condition);
    lights.halves[static_cast<std::size_t>(setup.protocol().adjusted)] =
        shown_at(problem, options.level, setup.protocol().file);
    if (setup.protocol().conditions[static_cast<std::size_t>(condition)].rings)
        lights.rings = {setup.ring(condition, Half::first), setup.ring(condition, Half::second)};
    const FieldLayout layout(setup.protocol().field,
                             viewing_geometry(setup, source, calibration.width_px, calibration.height_px));
    const FieldComposer composer(setup);
    const CodeImage image = draw_reference(composer.picture(
        layout, calibration.bits, lights, [](int) { return true; }, {.kind = options.dither}));
    write_output(options.path, png_bytes(image), "--out", rules);
}

}  // namespace isoseam
