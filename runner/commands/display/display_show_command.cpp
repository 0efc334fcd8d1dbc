// isoseam display show: tells what a calibrated screen can show.

#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "analysis/figures/gamut_figure.h"
#include "analysis/figures/gnuplot.h"
#include "base/errors.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/display/screen_description.h"
#include "runner/commands/output_option.h"

namespace isoseam {
namespace {

template <class Place>
GamutDiagram diagram_of(const DisplayGamut& gamut, const Place& place) {
    GamutDiagram diagram;
    std::vector<Eigen::Vector2d> corners;
    for (const DiagramPoint& primary : gamut.primaries) {
        if (const std::optional<Eigen::Vector2d> at = place(primary)) {
            corners.push_back(*at);
            diagram.primaries.push_back({primary.name, at->x(), at->y()});
        }
    }
    if (const std::optional<Eigen::Vector2d> at = place(gamut.white))
        diagram.others.push_back({"white", at->x(), at->y()});
    diagram.outline = convex_outline(corners);
    return diagram;
}

struct Options {
    std::string file, grey;
    OutputOption picture{"--picture"};
};

void draw(const ScreenDescription& screen, const Observer& observer, const Options& options) {
    const DisplayGamut& gamut = screen.abilities->gamut;
    const GamutDiagram uv_prime = diagram_of(gamut, u_v_of);
    const GamutDiagram macleod_boynton = diagram_of(gamut, l_s_of);
    const Calibration& calibration = screen.calibration;
    const std::string mark = calibration.estimated  ? " (estimated: not for data)"
                             : calibration.invented ? " (invented: not for science)"
                                                    : "";
    for (const GamutDiagram* diagram : {&uv_prime, &macleod_boynton}) {
        if (diagram->outline.size() < 3)
            throw InputError(Fault{calibration.file, 0, 0, "primaries",
                                   "fewer than three that a diagram has a place for", "leave --picture out"});
    }
    const Figure figure = gamut_figure(calibration.name + mark, observer, uv_prime, macleod_boynton);
    options.picture.write(drawn(figure, picture_format(options.picture.path)), {options.file});
}

ExitStatus show(const Options& options, bool json) {
    const bool drawn_too = !options.picture.path.empty();
    if (drawn_too) {
        static_cast<void>(picture_format(options.picture.path));
        options.picture.check({options.file});
    }
    const DisplayModel display(read_calibration(options.file));
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    ScreenDescription screen = describe_screen(display, observer);
    if (has_inverse(display, observer) || !options.grey.empty() || drawn_too)
        screen.abilities = abilities_of(DriveSolver(display, observer), options.grey);
    if (drawn_too)
        draw(screen, observer, options);
    json ? print_json(to_json(screen)) : fmt::print("{}", screen_description_text(screen));
    return ExitStatus::done;
}

}  // namespace

void add_display_show_command(Command& display) {
    const auto options = std::make_shared<Options>();
    Command* command = display.add_subcommand("show", "what a calibration file says of its screen");
    command->add_option("file", options->file, "calibration file")->required();
    command->add_option(
        "--grey", options->grey,
        "the light from which contrasts and steps are told (white's chromaticity at a quarter of "
        "its luminance), such as \"xyY 0.31 0.33 at 30 cd/m2\"");
    options->picture.add_to(command, "draw the gamut into this file (.svg, .png or .pdf)");
    finish_command(command, options, show);
}

}  // namespace isoseam
