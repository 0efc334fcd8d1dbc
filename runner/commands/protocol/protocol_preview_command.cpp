// isoseam protocol preview: draws both halves of one condition at the predicted match, or near it, in the
// codes of the calibrated screen.

#include <fmt/format.h>

#include <utility>

#include "runner/commands/all_commands.h"
#include "runner/commands/field_picture.h"
#include "runner/commands/language_commands.h"
#include "runner/commands/session_options.h"

namespace isoseam {
namespace {

struct Options {
    ProtocolOptions protocol;
    OutputOption out;
    std::string condition;  // empty: the first condition
    std::string level;      // "5 %", or a plain number, along the first axis; empty: at the predicted match
    std::string dither = "none";
};

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

ExitStatus preview(const Options& options, bool json) {
    const DitherKind dither = parse_dither(options.dither);
    const Setup setup = options.protocol.setup_for_anyone();
    options.out.check(files_read_for(setup));
    const int condition = condition_index(setup.protocol(), options.condition);
    const int bits = setup.solver(setup.field_source()).display().calibration().bits;
    const AdjustmentProblem problem = setup.adjustment(condition, {bits, dither});
    FieldLights lights;
    lights.halves[static_cast<std::size_t>(setup.reference_half())] = setup.reference(condition);
    lights.halves[static_cast<std::size_t>(setup.protocol().adjusted)] =
        shown_at(problem, options.level, setup.protocol().file);
    if (setup.protocol().conditions[static_cast<std::size_t>(condition)].rings)
        lights.rings = {setup.ring(condition, Half::first), setup.ring(condition, Half::second)};
    options.out.write(field_png(setup, lights, dither), files_read_for(setup));
    return print_picture(options.out, json);
}

}  // namespace

void add_protocol_preview_command(Command& protocol) {
    Command* command =
        protocol.add_subcommand("preview", "draw the field of one condition at a match, without a screen");
    const auto options = std::make_shared<Options>();
    options->protocol.add_to(command);
    options->out.add_to(command, "PNG file to write")->required();
    command->add_option("--condition", options->condition, "name of the condition (the first)");
    command->add_option("--level", options->level,
                        "how far from the match along the first axis, such as '5 %' (at the match)");
    command->add_option("--dither", options->dither, "none (usual), ordered or noise");
    finish_command(command, options, preview);
}

}  // namespace isoseam
