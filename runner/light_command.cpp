// isoseam light: what a light does to three cones, and what would show it on a screen.

#include <fmt/format.h>

#include <memory>
#include <optional>

#include "calibration/yaml_reader.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/light.h"
#include "runner/command_line.h"
#include "runner/observer_options.h"
#include "stimuli/drive_solution.h"

namespace isoseam {
namespace {

struct Options {
    std::string first;
    std::string second;
    ObserverOptions observer;
    std::string display;
    int bits = 0;  // 0: as calibrated
};

// A light with everything that is printed of it.
struct Described {
    Light light;
    nlohmann::json json;
    bool in_gamut = true;
};

nlohmann::json triple(const Eigen::Vector3d& v) {
    return {v[0], v[1], v[2]};
}

LightContext context_of_command_line(const std::optional<DriveSolver>& solver) {
    LightContext context;
    context.read_spectrum = [](const std::string& path) {
        return parse_spectrum_table(read_text_file(path), path);
    };
    if (solver) {
        context.realise_xyz = [&solver](const Xyz& xyz) { return solver->spectrum(xyz); };
        context.realise_lms = [&solver](const Lms& lms) { return solver->spectrum(lms); };
    }
    return context;
}

LightSpec parse_argument(const std::string& text) {
    try {
        return parse_light(text);
    } catch (const InputError& error) {
        std::vector<Fault> faults = error.faults();
        for (Fault& fault : faults) {
            fault.key = fault.key.empty() ? fmt::format("light '{}'", text)
                                          : fmt::format("light '{}' ({})", text, fault.key);
            if (fault.column > 0)
                fault.found = fmt::format("{} (character {})", fault.found, fault.column);
            fault.column = 0;
        }
        throw InputError(faults);
    }
}

void describe_drive(const DriveSolver& solver, int bits, Described& described) {
    const DriveSolution solution = solver.solve(described.light.lms);
    described.in_gamut = solution.in_gamut;
    nlohmann::json& json = described.json;
    json["drive_linear"] =
        std::vector<double>(solution.linear.fractions.begin(), solution.linear.fractions.end());
    json["in_gamut"] = solution.in_gamut;
    json["gamut_margin"] = solution.gamut_margin;
    json["bits"] = bits;
    json["drive"] = nullptr;
    json["drive_code"] = nullptr;
    if (solution.in_gamut) {
        const Drive drive = solver.display().drive_from_linear(solution.linear);
        json["drive"] = std::vector<double>(drive.fractions.begin(), drive.fractions.end());
        json["drive_code"] = code_from_linear(solution.linear, solver.display(), bits).values;
    }
}

Described describe(const std::string& text, const Observer& observer,
                   const std::optional<DriveSolver>& solver, int bits) {
    const LightSpec spec = parse_argument(text);
    Described described{resolve(spec, observer, context_of_command_line(solver)), {}, true};
    const Light& light = described.light;
    const Xyz xyz = tristimulus(light.spectrum);
    nlohmann::json& json = described.json;
    json["light"] = spec.text();
    json["observer"] = observer.description();
    json["lms"] = triple(light.lms.vector());
    json["xyz"] = triple(xyz.vector());
    json["luminance_cd_m2"] = xyz.y;
    json["luminance_cie170_cd_m2"] = luminance_cd_m2(light.lms, observer);
    json["xyY"] = nullptr;
    json["macleod_boynton"] = nullptr;
    if (xyz.y > 0.0) {
        const XyY xyy = xyy_from_xyz(xyz);
        json["xyY"] = {xyy.chromaticity.x, xyy.chromaticity.y, xyy.luminance_cd_m2};
    }
    if (luminance_cd_m2(light.lms, observer) > 0.0) {
        const MacLeodBoynton mb = macleod_boynton_from_lms(light.lms, observer);
        json["macleod_boynton"] = {{"l", mb.l}, {"m", mb.m()}, {"s", mb.s}};
    }
    json["spectrum_is_assumed"] = light.spectrum_is_assumed;
    json["unseen_share"] = observer.unseen_share(light.spectrum);
    if (solver)
        describe_drive(*solver, bits, described);
    return described;
}

std::string numbers(const nlohmann::json& values, int digits) {
    std::string text;
    for (const nlohmann::json& value : values)
        text += fmt::format("{:>12.{}g}", value.get<double>(), digits);
    return text;
}

void print_described(const nlohmann::json& json) {
    fmt::print("{}\n", json["light"].get<std::string>());
    fmt::print("  observer                    {}\n", json["observer"].get<std::string>());
    fmt::print("  cone excitations L M S      {}   W/(sr m2)\n", numbers(json["lms"], 6));
    if (!json["macleod_boynton"].is_null()) {
        const nlohmann::json& mb = json["macleod_boynton"];
        fmt::print("  MacLeod-Boynton l m s       {}   CIE 170-2\n", numbers({mb["l"], mb["m"], mb["s"]}, 6));
    }
    fmt::print("  XYZ                         {}   CIE 1931, Y in cd/m2\n", numbers(json["xyz"], 6));
    if (!json["xyY"].is_null())
        fmt::print("  x y Y                       {}   CIE 1931\n", numbers(json["xyY"], 6));
    fmt::print(
        "  luminance                   {:>12.6g}   cd/m2 by CIE 1931;  {:.6g} cd/m2 by the observer's V_F\n",
        json["luminance_cd_m2"].get<double>(), json["luminance_cie170_cd_m2"].get<double>());
    if (json["spectrum_is_assumed"].get<bool>())
        fmt::print("  its spectrum is assumed: three numbers do not fix one; name a screen with --display\n");
    if (json["unseen_share"].get<double>() > 1e-4)
        fmt::print(
            "  {:.2g} % of a cone's sensitivity lies outside the spectrum's range: nothing is known there\n",
            100.0 * json["unseen_share"].get<double>());
    if (!json.contains("in_gamut"))
        return;
    fmt::print("  linear drive                {}\n", numbers(json["drive_linear"], 6));
    if (json["in_gamut"].get<bool>())
        fmt::print("  codes ({} bits)              {}\n", json["bits"].get<int>(),
                   numbers(json["drive_code"], 6));
    fmt::print("  {} the screen's gamut, margin {:.4g}\n",
               json["in_gamut"].get<bool>() ? "inside" : "OUTSIDE", json["gamut_margin"].get<double>());
}

// The second light against the first, for this observer; null when the first leaves a cone dark, as there is
// no contrast then.
nlohmann::json compare(const Described& a, const Described& b) {
    if (!(a.light.lms.vector().minCoeff() > 0.0))
        return nullptr;
    const ConeContrast contrast = cone_contrast(b.light.lms, a.light.lms);
    return {{"cone_contrast", {{"l", contrast.l}, {"m", contrast.m}, {"s", contrast.s}}},
            {"cone_contrast_length", contrast.length()}};
}

ExitStatus run(const Options& options, bool json) {
    const Observer observer(options.observer.parameters());
    std::optional<DriveSolver> solver;
    int bits = options.bits;
    if (!options.display.empty()) {
        const Calibration calibration = read_calibration(options.display);
        solver.emplace(DisplayModel(calibration), observer);
        bits = bits == 0 ? calibration.bits : bits;
    }
    const Described first = describe(options.first, observer, solver, bits);
    if (options.second.empty()) {
        json ? print_json(first.json) : print_described(first.json);
        return first.in_gamut ? ExitStatus::done : ExitStatus::answer_is_no;
    }
    const Described second = describe(options.second, observer, solver, bits);
    const nlohmann::json difference = compare(first, second);
    if (json) {
        print_json({{"lights", {first.json, second.json}}, {"second_against_first", difference}});
    } else {
        print_described(first.json);
        print_described(second.json);
        if (difference.is_null()) {
            fmt::print("no contrast: the first light leaves a cone dark\n");
            return ExitStatus::done;
        }
        const nlohmann::json& contrast = difference["cone_contrast"];
        fmt::print("second against first, cone contrast in %: L {:+.4g}   M {:+.4g}   S {:+.4g}\n",
                   100.0 * contrast["l"].get<double>(), 100.0 * contrast["m"].get<double>(),
                   100.0 * contrast["s"].get<double>());
    }
    return first.in_gamut && second.in_gamut ? ExitStatus::done : ExitStatus::answer_is_no;
}

}  // namespace

void add_light_command(CLI::App& app, CommandContext& context) {
    CLI::App* command =
        app.add_subcommand("light", "what a light does to three cones, and what would show it on a screen");
    auto options = std::make_shared<Options>();
    command
        ->add_option("light", options->first,
                     "a light in the protocol's words, e.g. \"monochromatic 589 nm at 20 cd/m2\"")
        ->required();
    command->add_option("second", options->second, "another light to compare it with");
    options->observer.add_to(command, true);
    command->add_option("--display", options->display, "calibration file of a screen to show it on");
    command->add_option("--bits", options->bits, "bits per channel of the codes (as calibrated)")
        ->check(CLI::IsMember({8, 10}));
    command->footer(
        "Lights:  monochromatic 589 nm at 20 cd/m2 | xyY 0.31 0.33 at 20 cd/m2 | blackbody 2856 K at 20 "
        "cd/m2 |\n"
        "  equal-energy at 20 cd/m2 | spectrum FILE [at 20 cd/m2] | lms 0.09 0.08 0.04 |\n"
        "  contrast L 5 % from (LIGHT) | mixture 0.6 (LIGHT) + 40 % (LIGHT) | black\n"
        "Ends with status 1 when a light is outside the gamut of the screen.");
    finish_command(command, context, [options, &context] { return run(*options, context.json); });
}

}  // namespace isoseam
