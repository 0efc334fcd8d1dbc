// isoseam display show: what a calibrated screen can show.

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <memory>
#include <optional>

#include "analysis/figures/gamut_figure.h"
#include "analysis/figures/gnuplot.h"
#include "runner/commands/command.h"
#include "runner/commands/display/display_commands.h"
#include "runner/commands/display/display_parts.h"
#include "runner/commands/light_description.h"
#include "runner/commands/output_file.h"
#include "runner/screen/preflight.h"
#include "stimuli/display_abilities.h"
#include "stimuli/dither.h"

namespace isoseam {
namespace {

// Of white's luminance, where no grey is named: bright enough to adapt to, with room on all sides.
constexpr double kGreyShare = 0.25;
// What sessions use unless told otherwise.
constexpr DitherKind kUsualDither = DitherKind::ordered;
// Common practice, no source: the best observers tell a change of L or M alone from about this on.
constexpr double kThresholdPercent = 0.1;

struct Grey {
    std::string text;
    Lms lms;
    LinearDrive linear;
};

Grey grey_of(const std::string& words, const DriveSolver& solver) {
    Grey grey;
    if (words.empty()) {
        grey.text = fmt::format("white's chromaticity at {:g} % of its luminance", 100.0 * kGreyShare);
    } else {
        const LightEye eye{.observer = solver.observer(), .resolves = solver.observer()};
        const DescribedLight light =
            described_light(words, eye, ShownOn{solver, solver.display().calibration().bits});
        grey.text = light.text;
        grey.lms = light.light.lms;
    }
    const DriveSolution solution = words.empty() ? grey_of_white(solver, kGreyShare) : solver.solve(grey.lms);
    if (!solution.in_gamut) {
        throw InputError(
            Fault{"", 0, 0, "--grey",
                  fmt::format("{} is outside the gamut of '{}' (margin {:.3g})", grey.text,
                              solver.display().calibration().name, solution.gamut_margin),
                  "name a light that the screen can show, such as \"xyY 0.31 0.33 at 30 cd/m2\""});
    }
    grey.linear = solution.linear;
    grey.lms = solver.lms(solution.linear);
    return grey;
}

nlohmann::json triple_json(const Eigen::Vector3d& v) {
    return {v[0], v[1], v[2]};
}

nlohmann::json gamut_json(const DisplayGamut& gamut) {
    const auto l_s = [](const DiagramPoint& point) -> nlohmann::json {
        if (!point.macleod_boynton)
            return nullptr;
        return {point.macleod_boynton->l, point.macleod_boynton->s};
    };
    const auto u_v = [](const DiagramPoint& point) -> nlohmann::json {
        if (!point.uniform)
            return nullptr;
        return {point.uniform->u_prime, point.uniform->v_prime};
    };
    const auto diagram = [&](const auto& coordinates) {
        nlohmann::json primaries = nlohmann::json::array();
        for (const DiagramPoint& primary : gamut.primaries)
            primaries.push_back({{"name", primary.name}, {"at", coordinates(primary)}});
        return nlohmann::json{{"primaries", primaries},
                              {"white", coordinates(gamut.white)},
                              {"black", coordinates(gamut.black)}};
    };
    nlohmann::json json{{"macleod_boynton", diagram(l_s)}, {"uv_prime", diagram(u_v)}};
    json["uv_prime"]["area"] = gamut.uv_prime_area;
    return json;
}

nlohmann::json largest_contrast_json(const DriveSolver& solver, const Grey& grey) {
    nlohmann::json list = nlohmann::json::array();
    for (const LargestContrast& largest : largest_contrasts(solver, grey.lms)) {
        list.push_back({{"direction", largest.direction},
                        {"sign", largest.sign > 0 ? "+" : "-"},
                        {"contrast_percent", triple_json(100.0 * largest.contrast.vector())},
                        {"length_percent", 100.0 * largest.contrast.length()}});
    }
    return list;
}

nlohmann::json step_json(const DriveSolver& solver, const Grey& grey) {
    const auto percent = [&](int bits) {
        const ConeContrast step = step_of_one_code(solver, grey.linear, bits);
        return nlohmann::json{{"L", 100.0 * step.l}, {"M", 100.0 * step.m}, {"S", 100.0 * step.s}};
    };
    return {{"8_bits", percent(8)},
            {"10_bits", percent(10)},
            {"8_bits_dithered", percent(effective_bits(8, kUsualDither))},
            {"threshold", {{"L", kThresholdPercent}, {"M", kThresholdPercent}}}};
}

// The values of these keys hold no information.
bool is_unknown(const Calibration& calibration, const char* key) {
    const std::vector<std::string>& unknown = calibration.unknown;
    return std::find(unknown.begin(), unknown.end(), key) != unknown.end();
}

nlohmann::json primaries_json(const DisplayModel& display, const Observer& observer) {
    nlohmann::json primaries = nlohmann::json::array();
    const Eigen::Matrix3Xd lms = display.lms_from_linear(observer);
    for (int i = 0; i < display.primary_count(); ++i) {
        primaries.push_back({{"name", display.calibration().primaries[static_cast<std::size_t>(i)].name},
                             {"xyY", xyy_json(Xyz::from_vector(display.xyz_from_linear().col(i)))},
                             {"lms", triple_json(lms.col(i))}});
    }
    return primaries;
}

// What the file says of the screen, whether its primaries add up or not.
nlohmann::json describe(const DisplayModel& display, const Observer& observer) {
    const Calibration& calibration = display.calibration();
    const auto told = [&](const char* key, const nlohmann::json& value) {
        return is_unknown(calibration, key) ? nlohmann::json(nullptr) : value;
    };
    const LinearDrive full{Eigen::VectorXd::Ones(display.primary_count())};
    const Day now = today();
    return {{"name", calibration.name},
            {"file", calibration.file},
            {"invented", calibration.invented},
            {"estimated", calibration.estimated},
            {"measured_on", told("measured.on", to_string(calibration.measured_on))},
            {"measured_with", told("measured.with", calibration.measured_with)},
            {"valid_until", told("valid_until", to_string(calibration.valid_until))},
            {"expired", told("valid_until", expired(calibration, now))},
            {"days_left", told("valid_until", days_between(now, calibration.valid_until))},
            {"resolution", told("conditions.resolution", {calibration.width_px, calibration.height_px})},
            {"refresh_hz", told("conditions.refresh", calibration.refresh_hz)},
            {"bits", told("conditions.bits", calibration.bits)},
            {"pixel_pitch_mm", told("conditions.pixel_pitch", calibration.pixel_pitch_mm)},
            {"unit", calibration.scale_known ? "W/(sr m2 nm)" : "counts"},
            {"scale_known", calibration.scale_known},
            {"additive", display.additive()},
            {"unfit", calibration.unfit},
            {"unknown", calibration.unknown},
            {"primaries", primaries_json(display, observer)},
            {"white_xyY", xyy_json(display.xyz(full))},
            {"black_xyY", xyy_json(display.black_xyz())},
            {"condition_number", display.condition_number(observer)},
            {"observer", observer.description()}};
}

void add_abilities(const DriveSolver& solver, const Grey& grey, nlohmann::json& json) {
    const LinearDrive& linear = grey.linear;
    json["gamut"] = gamut_json(display_gamut(solver));
    json["grey"] = {{"light", grey.text},
                    {"xyY", xyy_json(solver.display().xyz(linear))},
                    {"lms", triple_json(grey.lms.vector())},
                    {"drive_linear", std::vector<double>(linear.fractions.begin(), linear.fractions.end())}};
    json["largest_contrast"] = largest_contrast_json(solver, grey);
    json["step_percent"] = step_json(solver, grey);
}

std::string xyy_words(const nlohmann::json& xyy) {
    if (xyy.is_null())
        return "no light";
    return fmt::format("x {:.4f}  y {:.4f}  {:9.4g} cd/m2", xyy[0].get<double>(), xyy[1].get<double>(),
                       xyy[2].get<double>());
}

std::string words(const nlohmann::json& value) {
    if (value.is_null())
        return "unknown";
    if (value.is_string())
        return value.get<std::string>();
    return fmt::format("{:g}", value.get<double>());
}

std::string day_words(const nlohmann::json& json) {
    if (json["days_left"].is_null())
        return "";
    const int left = json["days_left"].get<int>();
    if (json["expired"].get<bool>())
        return fmt::format("   EXPIRED {} {} ago", -left, left == -1 ? "day" : "days");
    return left == 0 ? "   (today is the last day)"
                     : fmt::format("   ({} {} left)", left, left == 1 ? "day" : "days");
}

void print_screen(const nlohmann::json& json) {
    fmt::print("{}{}{}\n", json["name"].get<std::string>(),
               json["invented"].get<bool>() ? "   (invented demo data: not for science)" : "",
               json["estimated"].get<bool>() ? "   (ESTIMATED, not measured: not for data)" : "");
    fmt::print("  measured     {} with {}\n", words(json["measured_on"]), words(json["measured_with"]));
    fmt::print("  valid until  {}{}\n", words(json["valid_until"]), day_words(json));
    const nlohmann::json& resolution = json["resolution"];
    fmt::print("  screen       {} pixels of {} mm, {} Hz, {} bits\n",
               resolution.is_null() ? "unknown" : words(resolution[0]) + " x " + words(resolution[1]),
               words(json["pixel_pitch_mm"]), words(json["refresh_hz"]), words(json["bits"]));
    if (!json["scale_known"].get<bool>())
        fmt::print("  in counts: how much light they are is unknown; read cd/m2 below as counts\n");
    if (!json["unfit"].get<std::string>().empty())
        fmt::print("  UNFIT: {}\n", json["unfit"].get<std::string>());
    for (const nlohmann::json& primary : json["primaries"])
        fmt::print("  {:<12} {}\n", primary["name"].get<std::string>(), xyy_words(primary["xyY"]));
    fmt::print("  {:<12} {}\n  {:<12} {}\n", "white", xyy_words(json["white_xyY"]), "black",
               xyy_words(json["black_xyY"]));
    if (!json["additive"].get<bool>())
        fmt::print("  its primaries do not add up: the file holds their interactions\n");
    if (!json.contains("gamut")) {
        fmt::print(
            "  no drives can be computed for wanted lights, so gamut, contrasts and steps are not told\n");
    }
}

std::string pair_words(const nlohmann::json& at) {
    return at.is_null() ? fmt::format("{:>10}{:>10}", "-", "-")
                        : fmt::format("{:>10.4f}{:>10.4f}", at[0].get<double>(), at[1].get<double>());
}

void print_gamut(const nlohmann::json& json) {
    const nlohmann::json& mb = json["gamut"]["macleod_boynton"];
    const nlohmann::json& uv = json["gamut"]["uv_prime"];
    fmt::print("\nGamut{:>21}{:>10}{:>10}{:>10}   (primaries without black)\n", "u'", "v'", "l", "s");
    for (std::size_t i = 0; i < mb["primaries"].size(); ++i) {
        fmt::print("  {:<14}{}{}\n", mb["primaries"][i]["name"].get<std::string>(),
                   pair_words(uv["primaries"][i]["at"]), pair_words(mb["primaries"][i]["at"]));
    }
    for (const char* name : {"white", "black"})
        fmt::print("  {:<14}{}{}\n", name, pair_words(uv[name]), pair_words(mb[name]));
    fmt::print("  area in u'v'  {:>10.4f}     l, s: MacLeod-Boynton, {}\n", uv["area"].get<double>(),
               json["observer"].get<std::string>());
}

void print_contrasts(const nlohmann::json& json) {
    fmt::print("\nLargest cone contrast, % of {}: {}\n", json["grey"]["light"].get<std::string>(),
               xyy_words(json["grey"]["xyY"]));
    fmt::print("  {:<10}{:>10}{:>10}{:>10}{:>10}\n", "direction", "L", "M", "S", "length");
    for (const nlohmann::json& one : json["largest_contrast"]) {
        const nlohmann::json& c = one["contrast_percent"];
        fmt::print("  {:<10}{:>10.2f}{:>10.2f}{:>10.2f}{:>10.2f}\n",
                   one["sign"].get<std::string>() + " " + one["direction"].get<std::string>(),
                   c[0].get<double>() + 0.0, c[1].get<double>() + 0.0, c[2].get<double>() + 0.0,
                   one["length_percent"].get<double>());
    }
    fmt::print("  L+M+S: luminance at constant chromaticity. L-M: at constant luminance and S.\n");
}

void print_steps(const nlohmann::json& json) {
    const nlohmann::json& steps = json["step_percent"];
    fmt::print("\nOne code there, % cone contrast, by the primary that moves the cone most\n");
    fmt::print("  {:<24}{:>10}{:>10}{:>10}\n", "", "L", "M", "S");
    const auto row = [&](const char* name, const char* key) {
        fmt::print("  {:<24}{:>10.3f}{:>10.3f}{:>10.3f}\n", name, steps[key]["L"].get<double>(),
                   steps[key]["M"].get<double>(), steps[key]["S"].get<double>());
    };
    row("8 bits", "8_bits");
    row("10 bits", "10_bits");
    row("8 bits, dithered", "8_bits_dithered");
    fmt::print("  {:<24}{:>10.3f}{:>10.3f}{:>10}   at best; common practice, no source\n",
               "detection threshold", steps["threshold"]["L"].get<double>(),
               steps["threshold"]["M"].get<double>(), "-");
    fmt::print(
        "  dithered: of the mean over a field of 2 degrees, as sessions show it unless told otherwise\n");
}

GamutDiagram diagram_of(const DisplayGamut& gamut,
                        const std::function<std::optional<Eigen::Vector2d>(const DiagramPoint&)>& place) {
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

void draw(const DriveSolver& solver, const std::string& path, const OutputRules& rules) {
    const DisplayGamut gamut = display_gamut(solver);
    using Place = std::optional<Eigen::Vector2d>;
    const GamutDiagram uv_prime = diagram_of(gamut, [](const DiagramPoint& point) -> Place {
        if (!point.uniform)
            return std::nullopt;
        return Eigen::Vector2d(point.uniform->u_prime, point.uniform->v_prime);
    });
    const GamutDiagram macleod_boynton = diagram_of(gamut, [](const DiagramPoint& point) -> Place {
        if (!point.macleod_boynton)
            return std::nullopt;
        return Eigen::Vector2d(point.macleod_boynton->l, point.macleod_boynton->s);
    });
    const Calibration& calibration = solver.display().calibration();
    const std::string mark = calibration.estimated  ? " (estimated: not for data)"
                             : calibration.invented ? " (invented: not for science)"
                                                    : "";
    for (const GamutDiagram* diagram : {&uv_prime, &macleod_boynton}) {
        if (diagram->outline.size() < 3)
            throw InputError(Fault{calibration.file, 0, 0, "primaries",
                                   "fewer than three that a diagram has a place for", "leave --picture out"});
    }
    const Figure figure = gamut_figure(calibration.name + mark, solver.observer(), uv_prime, macleod_boynton);
    write_output(path, drawn(figure, picture_format(path)), "--picture", rules);
}

void show_screen(const DisplayModel& display, const Observer& observer, const std::string& grey_words,
                 const std::string& picture, const OutputRules& rules, bool as_json) {
    nlohmann::json json = describe(display, observer);
    const bool has_abilities = has_inverse(display, observer);
    if (has_abilities || !grey_words.empty() || !picture.empty()) {
        const DriveSolver solver(display, observer);
        add_abilities(solver, grey_of(grey_words, solver), json);
        if (!picture.empty())
            draw(solver, picture, rules);
    }
    if (as_json)
        return print_json(json);
    print_screen(json);
    if (has_abilities) {
        print_gamut(json);
        print_contrasts(json);
        print_steps(json);
    }
}

}  // namespace

void add_display_show_command(CLI::App& display, CommandContext& context) {
    struct Options {
        std::string file, grey, picture;
        bool force = false;
    };
    const auto options = std::make_shared<Options>();
    CLI::App* show = display.add_subcommand("show", "what a calibration file says of its screen");
    show->add_option("file", options->file, "calibration file")->required();
    show->add_option(
        "--grey", options->grey,
        "the light from which contrasts and steps are told (white's chromaticity at a quarter of "
        "its luminance), such as \"xyY 0.31 0.33 at 30 cd/m2\"");
    show->add_option("--picture", options->picture, "draw the gamut into this file (.svg, .png or .pdf)");
    add_force_option(show, options->force);
    finish_command(show, context, [options, &context] {
        const OutputRules rules{options->force, {options->file}};
        if (!options->picture.empty()) {
            static_cast<void>(picture_format(options->picture));
            check_output(options->picture, "--picture", rules);
        }
        const DisplayModel screen(read_calibration(options->file));
        const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
        show_screen(screen, observer, options->grey, options->picture, rules, context.json);
        return ExitStatus::done;
    });
}

}  // namespace isoseam
