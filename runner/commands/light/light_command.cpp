// isoseam light: tells what a light does to an eye, for whom two lights look alike, and which mixtures match.

#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "analysis/figures/gnuplot.h"
#include "analysis/figures/light_figure.h"
#include "base/errors.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/light/light_comparison_output.h"
#include "runner/commands/light/light_match_output.h"
#include "runner/commands/light/light_solve_output.h"
#include "runner/commands/light_description.h"
#include "runner/commands/observer_options.h"
#include "runner/commands/option_faults.h"
#include "runner/commands/output_option.h"

namespace isoseam {
namespace {

struct Options {
    std::string first;
    std::string second;
    std::vector<std::string> solve;
    std::string match;
    ObserverOptions observer;
    std::string display;
    int bits = 0;  // 0: as many as the calibration says
    std::string threshold;
    std::string threshold_s;
    std::string desaturation;
    ComparisonSettings comparison;
    OutputOption picture{"--picture"};
    std::string white;
};

// Names the files that a picture of these lights must not replace.
std::vector<std::string> files_read(const Options& options) {
    std::vector<std::string> all{options.display};
    for (const std::string& light : {options.first, options.second, options.white}) {
        if (light.empty())
            continue;
        const std::vector<std::string> files = parse_light(light).files_used();
        all.insert(all.end(), files.begin(), files.end());
    }
    return all;
}

// Reads a share from the command line, such as "1 %". `value` stays as it is when nothing was given.
void read_share(const std::string& option, const std::string& text, double& value) {
    if (!text.empty())
        value = reading_option(option, [&] { return parse_quantity(text, Dimension::fraction); });
}

std::optional<ShownOn> screen_of(const Options& options, const LightEye& eye) {
    if (options.display.empty())
        return std::nullopt;
    const Calibration calibration = read_calibration(options.display);
    require_known_lights(calibration);
    return ShownOn{DriveSolver(DisplayModel(calibration), eye.resolves),
                   options.bits == 0 ? calibration.bits : options.bits};
}

// An option that has no part in the job is a misunderstanding, so it is not passed over in silence.
void refuse_idle(const Command& command, std::initializer_list<const char*> options, const std::string& job) {
    for (const char* option : options) {
        if (command.count(option) > 0)
            throw InputError(Fault{"", 0, 0, option, "has no part in " + job, "leave it out"});
    }
}

void check_options(const Command& command, const Options& options) {
    if (command.count("second") > 0 && options.second.empty())
        throw InputError(Fault{"", 0, 0, "light ''", "no light", "write one in quotes, or leave it out"});
    if (!options.match.empty()) {
        refuse_idle(command, {"--display", "--bits", "--threshold", "--threshold-s", "--picture", "--white"},
                    "a match with a name");
        if (options.match == "rayleigh")
            refuse_idle(command, {"--desaturation"}, "a Rayleigh match");
    } else if (!options.solve.empty()) {
        refuse_idle(
            command,
            {"--eyes", "--seed", "--threshold", "--threshold-s", "--desaturation", "--picture", "--white"},
            "solving for a mixture");
    } else if (command.count("second") == 0) {
        refuse_idle(command, {"--eyes", "--seed", "--threshold", "--threshold-s", "--desaturation"},
                    "describing one light");
    } else {
        refuse_idle(command, {"--desaturation"}, "comparing two lights");
    }
}

void check_one_job(const Options& options) {
    const bool has_match = !options.match.empty();
    const bool has_solve = !options.solve.empty();
    if (has_match && has_solve)
        throw InputError(Fault{"", 0, 0, "--match, --solve", "two jobs at once", "choose one of them"});
    if ((has_match || has_solve) && !options.first.empty()) {
        throw InputError(Fault{"", 0, 0, has_match ? "--match" : "--solve",
                               fmt::format("the light '{}' besides it", options.first),
                               has_match ? "leave it out: a named match has its own lights"
                                         : "write all lights after --solve: A B C = D"});
    }
    if (!has_match && !has_solve && options.first.empty())
        throw InputError(
            Fault{"", 0, 0, "light", "no light",
                  "write one in quotes, such as \"monochromatic 589 nm at 20 cd/m2\", two to compare "
                  "them, or --match or --solve"});
}

// Draws bars only for the cones that the eye has.
void draw(const Options& options, const LightEye& eye, std::initializer_list<const DescribedLight*> lights) {
    if (options.picture.path.empty())
        return;
    std::vector<std::string> receptors;
    std::vector<LightCurves> curves;
    for (const DescribedLight* described : lights)
        curves.push_back({described->text, described->light.spectrum, {}});
    for (const auto& [cone, name] : {std::pair{Cone::l, "L"}, {Cone::m, "M"}, {Cone::s, "S"}}) {
        if (!eye.observer.has(cone))
            continue;
        receptors.emplace_back(name);
        auto curve = curves.begin();
        for (const DescribedLight* described : lights)
            (curve++)->excitations.push_back(described->light.lms.vector()[static_cast<Eigen::Index>(cone)]);
    }
    const Figure figure = light_figure(eye.observer.description(), curves, receptors);
    options.picture.write(drawn(figure, picture_format(options.picture.path)), files_read(options));
}

ExitStatus describe(const Options& options, const ComparisonSettings& settings, bool json) {
    const ObserverParameters parameters = options.observer.parameters();
    const LightEye eye = light_eye(parameters);
    const std::optional<ShownOn> screen = screen_of(options, eye);
    std::optional<Xyz> white;
    if (!options.white.empty())
        white = described_light(options.white, eye, screen).xyz;
    const auto described = [&](const std::string& words) {
        DescribedLight light = described_light(words, eye, screen);
        light.colour = light_colour(light.light.spectrum, white);
        return light;
    };
    const DescribedLight first = described(options.first);
    if (options.second.empty()) {
        draw(options, eye, {&first});
        json ? print_json(to_json(first)) : fmt::print("{}", described_light_text(first));
        return first.in_gamut() ? ExitStatus::done : ExitStatus::answer_is_no;
    }
    const DescribedLight second = described(options.second);
    draw(options, eye, {&first, &second});
    const LightComparison comparison = compare_lights(first, second, white, parameters, settings);
    if (json) {
        nlohmann::json all = to_json(comparison);
        all["lights"] = {to_json(first), to_json(second)};
        print_json(all);
    } else {
        fmt::print("{}{}{}", described_light_text(first), described_light_text(second),
                   light_comparison_text(comparison));
    }
    return first.in_gamut() && second.in_gamut() ? ExitStatus::done : ExitStatus::answer_is_no;
}

ExitStatus solve(const Options& options, bool json) {
    const LightEye eye = light_eye(options.observer.parameters());
    const SolvedMixture solved = solved_mixture(options.solve, eye, screen_of(options, eye));
    json ? print_json(to_json(solved)) : fmt::print("{}", solved_mixture_text(solved));
    return ExitStatus::done;
}

ExitStatus run(const Command& command, const Options& options, bool json) {
    check_one_job(options);
    check_options(command, options);
    if (command.count("--picture") > 0)
        static_cast<void>(picture_format(options.picture.path));
    if (!options.solve.empty())
        return solve(options, json);
    ComparisonSettings settings = options.comparison;
    settings.pigments = options.observer.pigments();
    read_share("--threshold", options.threshold, settings.threshold.l_m);
    read_share("--threshold-s", options.threshold_s, settings.threshold.s);
    if (options.match.empty())
        return describe(options, settings, json);
    NamedMatchSettings match{
        .match = options.match, .pigments = settings.pigments, .eyes = settings.eyes, .seed = settings.seed};
    read_share("--desaturation", options.desaturation, match.desaturation);
    const NamedMatches matches = named_matches(options.observer.parameters(), match);
    json ? print_json(to_json(matches)) : fmt::print("{}", named_matches_text(matches));
    return ExitStatus::done;
}

void add_comparison_options(Command* command, Options& options) {
    command->add_option(
        "--threshold", options.threshold,
        "with two lights: difference from which L and M count as telling them apart (\"1 %\")");
    command->add_option("--threshold-s", options.threshold_s, "the same for S (\"5 %\")");
    command->add_option("--eyes", options.comparison.eyes, "size of the population; 0 for none (1000)");
    command->add_option("--seed", options.comparison.seed, "seed of the population (1)")
        ->check(whole_number());
}

}  // namespace

void add_light_command(Command& app) {
    Command* command = app.add_subcommand(
        "light", "what a light does to an eye, for whom two lights look alike, which mixtures match");
    auto options = std::make_shared<Options>();
    command->add_option("light", options->first,
                        "a light in the protocol's words, e.g. \"monochromatic 589 nm at 20 cd/m2\"");
    command->add_option("second", options->second, "another light: for whom do the two look alike?");
    command
        ->add_option("--solve", options->solve,
                     "A B C = D: the mixture of the lights A, B and C that looks like D")
        ->expected(1, 16)
        ->type_name("A B C = D");
    command->add_option("--match", options->match, "a match that has a name: rayleigh or moreland")
        ->check(one_of({"rayleigh", "moreland"}));
    command->add_option("--desaturation", options->desaturation,
                        "share of 580 nm in the test of a Moreland match (\"7.4 %\")");
    add_comparison_options(command, *options);
    options->observer.add_to(command);
    command->add_option("--display", options->display, "calibration file of a screen to show it on");
    command->add_option("--bits", options->bits, "bits per channel of the codes (as calibrated)")
        ->check(one_of({8, 10}));
    command->add_option("--white", options->white,
                        "light that counts as white for CIELAB and CIEDE2000 (none: neither is told)");
    options->picture.add_to(command, "draw spectra and excitations into FILE.svg, .png or .pdf");
    command->footer(
        "Lights:  monochromatic 589 nm at 20 cd/m2 | xyY 0.31 0.33 at 20 cd/m2 | blackbody 2856 K at 20 "
        "cd/m2 |\n"
        "  equal-energy at 20 cd/m2 | spectrum FILE [at 20 cd/m2] | lms 0.09 0.08 0.04 |\n"
        "  daylight 6500 K at 20 cd/m2 | illuminant A at 20 cd/m2 (A, D50, D55, D65, D75, E) |\n"
        "  contrast L 5 % from (LIGHT) | pooled-cardinal luminance 1 % L-M 2 % S 10 % from (LIGHT) |\n"
        "  mixture 0.6 (LIGHT) + 40 % (LIGHT) | black\n"
        "Ends with status 1 when a light is outside the gamut of the screen.");
    finish_command(command, [command, options](bool json) { return run(*command, *options, json); });
}

}  // namespace isoseam
