// isoseam observer: prints or draws the cone fundamentals of a standard or an individual observer.

#include <fmt/format.h>

#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>

#include "analysis/figures/gnuplot.h"
#include "analysis/figures/observer_figure.h"
#include "base/errors.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/observer_options.h"
#include "runner/commands/output_option.h"

namespace isoseam {
namespace {

struct Options {
    ObserverOptions observer;
    bool quantal = false;
    std::optional<double> from_nm;  // if it is not given, the eye's own range is used
    std::optional<double> to_nm;
    double step_nm = 1.0;
    std::string format;  // "": csv, unless a picture was asked for
    OutputOption picture{"--picture"};
    std::string scale = "linear";
    bool beside_standard = false;
};

std::vector<double> wavelengths(const Options& options, const Observer& observer) {
    const double from_nm = options.from_nm.value_or(observer.first_nm());
    const double to_nm = options.to_nm.value_or(observer.last_nm());
    if (!(from_nm >= observer.first_nm() && to_nm <= observer.last_nm() && from_nm <= to_nm)) {
        const bool tables = observer.parameters().curves == CurveSource::tables;
        throw InputError(
            Fault{"", 0, 0, "--from, --to",
                  fmt::format("{:g} to {:g} nm is not within the {}", from_nm, to_nm,
                              tables ? "tables" : "range of the formulae"),
                  tables ? "stay within 390 to 830 nm, the range of CIE 170-1:2006, or use --curves formulae"
                         : "stay within 360 to 850 nm"});
    }
    if (!(options.step_nm >= 0.01 && options.step_nm <= 440.0)) {
        throw InputError(Fault{"", 0, 0, "--step", fmt::format("a step of {:g} nm", options.step_nm),
                               "write a step from 0.01 to 440 nm"});
    }
    std::vector<double> grid;
    const auto count = static_cast<int>(std::floor((to_nm - from_nm) / options.step_nm + 1e-9));
    for (int i = 0; i <= count; ++i)
        grid.push_back(from_nm + i * options.step_nm);
    return grid;
}

// Quantal sensitivity is the energy-based sensitivity divided by wavelength, scaled so that its peak is 1.
Eigen::Array3d quantal_scale(const Observer& observer) {
    Eigen::Array3d scale = Eigen::Array3d::Zero();
    const Observer::Table quantal = observer.quantal();
    for (Eigen::Index cone = 0; cone < 3; ++cone) {
        Eigen::Index row = 0;
        if (const double energy = observer.energy().col(cone).maxCoeff(&row); energy > 0.0)
            scale[cone] = quantal(row, cone) * (observer.first_nm() + static_cast<double>(row)) / energy;
    }
    return scale;
}

void draw(const Options& options, const Observer& observer) {
    const std::map<std::string, SensitivityScale> scales{{"linear", SensitivityScale::linear},
                                                         {"log", SensitivityScale::log},
                                                         {"stacked", SensitivityScale::stacked}};
    const SensitivityUnits units = options.quantal ? SensitivityUnits::quantal : SensitivityUnits::energy;
    std::optional<DrawnEye> standard;
    if (options.beside_standard)
        standard = drawn_eye(Observer::cie170(observer.parameters().field, Years::from_years(32.0)), units);
    const Figure figure =
        observer_figure(drawn_eye(observer, units), standard, scales.at(options.scale), units);
    options.picture.write(drawn(figure, picture_format(options.picture.path)));
}

ExitStatus run(const Command& command, const Options& options, bool json) {
    if (command.count("--picture") > 0) {
        static_cast<void>(picture_format(options.picture.path));
        options.picture.check();
    }
    for (const char* option : {"--scale", "--beside-standard"}) {
        if (command.count(option) > 0 && options.picture.path.empty())
            throw InputError(
                Fault{"", 0, 0, option, "given without --picture", "say where to draw with --picture FILE"});
    }
    for (const auto& [option, type] : {std::pair{"--protanomalous-shift", "protanomalous"},
                                       std::pair{"--deuteranomalous-shift", "deuteranomalous"}}) {
        if (command.count(option) > 0 && options.observer.type() != type)
            throw InputError(
                Fault{"", 0, 0, option, "has no part in this eye", fmt::format("add --type {}", type)});
    }
    const Observer observer(options.observer.parameters());
    const std::vector<double> grid = wavelengths(options, observer);
    if (!options.picture.path.empty()) {
        draw(options, observer);
        if (!json && options.format.empty()) {
            fmt::print(stderr, "drawn: {}\n", options.picture.path);
            return ExitStatus::done;
        }
    }
    const Eigen::Array3d scale = quantal_scale(observer);
    nlohmann::json l, m, s;
    if (!json)
        fmt::print("wavelength_nm,l,m,s\n");
    for (const double nm : grid) {
        const Eigen::Vector3d sensitivity =
            options.quantal ? Eigen::Vector3d(observer.energy_at_nm(nm).array() * scale / nm)
                            : observer.energy_at_nm(nm);
        if (json) {
            l.push_back(sensitivity[0]);
            m.push_back(sensitivity[1]);
            s.push_back(sensitivity[2]);
        } else {
            fmt::print("{},{},{},{}\n", nm, sensitivity[0], sensitivity[1], sensitivity[2]);
        }
    }
    if (json)
        print_json({{"observer", observer.description()},
                    {"units", options.quantal ? "quantal, peak 1" : "energy, peak 1"},
                    {"wavelength_nm", grid},
                    {"l", l},
                    {"m", m},
                    {"s", s}});
    return ExitStatus::done;
}

}  // namespace

void add_observer_command(Command& app) {
    Command* command =
        app.add_subcommand("observer", "cone fundamentals of a standard or an individual observer");
    auto options = std::make_shared<Options>();
    options->observer.add_to(command);
    command->add_flag("--quantal", options->quantal, "quantal units instead of energy");
    command->add_option("--from", options->from_nm, "first wavelength in nm (390; formulae 360)");
    command->add_option("--to", options->to_nm, "last wavelength in nm (830; formulae 850)");
    command->add_option("--step", options->step_nm, "step in nm (1)");
    command->add_option("--format", options->format, "csv (also beside --picture)")->check(one_of({"csv"}));
    options->picture.add_to(command, "draw the cone fundamentals into FILE.svg, .png or .pdf");
    command->add_option("--scale", options->scale, "of the picture: linear, log, or stacked with the filters")
        ->check(one_of({"linear", "log", "stacked"}));
    command->add_flag("--beside-standard", options->beside_standard,
                      "draw the standard eye of this field, 32 years old, thin beside it");
    finish_command(command, [command, options](bool json) { return run(*command, *options, json); });
}

}  // namespace isoseam
