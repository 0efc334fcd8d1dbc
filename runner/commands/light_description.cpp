#include "runner/commands/light_description.h"

#include <fmt/format.h>

#include "base/yaml_reader.h"
#include "colorimetry/cielab.h"
#include "colorimetry/colour_difference.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

nlohmann::json triple(const Eigen::Vector3d& v) {
    return {v[0], v[1], v[2]};
}

LightContext context_of_command_line(const std::optional<ShownOn>& screen) {
    LightContext context;
    context.read_spectrum = [](const std::string& path) {
        return parse_spectrum_table(read_text_file(path), path);
    };
    if (screen) {
        context.realise_xyz = [&screen](const Xyz& xyz) { return screen->solver.spectrum(xyz); };
        context.realise_lms = [&screen](const Lms& lms) { return screen->solver.spectrum(lms); };
    }
    return context;
}

// What `call` makes of a light on the command line; faults that are in no file name the light.
template <class Call>
auto naming_light(const std::string& words, const Call& call) {
    try {
        return call();
    } catch (const InputError& error) {
        std::vector<Fault> faults = error.faults();
        for (Fault& fault : faults) {
            if (!fault.file.empty())
                continue;
            fault.key = fault.key.empty() ? fmt::format("light '{}'", words)
                                          : fmt::format("light '{}' ({})", words, fault.key);
            if (fault.column > 0)
                fault.found = fmt::format("{} (character {})", fault.found, fault.column);
            fault.column = 0;
        }
        throw InputError(faults);
    }
}

// As the eye catches it; the light as it was resolved keeps what the eye with three cones catches.
Light seen_by(const LightEye& eye, Light light) {
    const ObserverParameters& parameters = eye.observer.parameters();
    if (parameters.lacks_l || parameters.lacks_m || parameters.lacks_s)
        light.lms = eye.observer.excitations(light.spectrum);
    return light;
}

void describe_drive(const ShownOn& screen, const Lms& lms, DescribedLight& described) {
    const DriveSolution solution = screen.solver.solve(lms);
    described.in_gamut = solution.in_gamut;
    nlohmann::json& json = described.json;
    json["drive_linear"] =
        std::vector<double>(solution.linear.fractions.begin(), solution.linear.fractions.end());
    json["in_gamut"] = solution.in_gamut;
    json["gamut_margin"] = solution.gamut_margin;
    json["bits"] = screen.bits;
    json["drive"] = nullptr;
    json["drive_code"] = nullptr;
    if (solution.in_gamut) {
        const Drive drive = screen.solver.display().drive_from_linear(solution.linear);
        json["drive"] = std::vector<double>(drive.fractions.begin(), drive.fractions.end());
        json["drive_code"] = code_from_linear(solution.linear, screen.solver.display(), screen.bits).values;
    }
}

std::string numbers(const nlohmann::json& values, int digits) {
    std::string text;
    for (const nlohmann::json& value : values)
        text += fmt::format("{:>12.{}g}", value.get<double>(), digits);
    return text;
}

}  // namespace

LightEye light_eye(const ObserverParameters& parameters) {
    ObserverParameters whole = parameters;
    whole.lacks_l = whole.lacks_m = whole.lacks_s = false;
    return {.observer = Observer(parameters), .resolves = Observer(whole)};
}

DescribedLight described_light(const std::string& words, const LightEye& eye,
                               const std::optional<ShownOn>& screen) {
    const LightSpec spec = naming_light(words, [&] { return parse_light(words); });
    const Observer& observer = eye.observer;
    const LightContext context = context_of_command_line(screen);
    const Light resolved = naming_light(words, [&] { return resolve(spec, eye.resolves, context); });
    DescribedLight described{seen_by(eye, resolved), spec.text(), {}, true};
    const Light& light = described.light;
    const Xyz xyz = tristimulus(light.spectrum);
    nlohmann::json& json = described.json;
    json["light"] = described.text;
    json["observer"] = observer.description();
    json["lms"] = triple(light.lms.vector());
    json["xyz"] = triple(xyz.vector());
    json["luminance_cd_m2"] = xyz.y;
    json["luminance_cie170_cd_m2"] = luminance_cd_m2(light.lms, observer);
    json["xyY"] = nullptr;
    json["macleod_boynton"] = nullptr;
    if (has_chromaticity(xyz)) {
        const XyY xyy = xyy_from_xyz(xyz);
        json["xyY"] = {xyy.chromaticity.x, xyy.chromaticity.y, xyy.luminance_cd_m2};
    }
    if (luminance_cd_m2(light.lms, observer) > 0.0) {
        const MacLeodBoynton mb = macleod_boynton_from_lms(light.lms, observer);
        json["macleod_boynton"] = {{"l", mb.l}, {"m", mb.m()}, {"s", mb.s}};
    }
    json["spectrum_is_assumed"] = light.spectrum_is_assumed;
    json["unseen_share"] = observer.unseen_share(light.spectrum);
    if (screen)
        describe_drive(*screen, resolved.lms, described);
    return described;
}

void describe_colour(DescribedLight& described, const std::optional<Xyz>& white) {
    nlohmann::json& json = described.json;
    const Spectrum& spectrum = described.light.spectrum;
    const Xyz xyz = tristimulus(spectrum);
    json["uv_prime"] = nullptr;
    if (has_chromaticity(xyz)) {
        const auto uv = uniform_chromaticity_from_xyz(xyz);
        json["uv_prime"] = {uv.u_prime, uv.v_prime};
    }
    json["xyz_1964_10deg"] = triple(tristimulus<ColourMatching::cie1964_10deg>(spectrum).vector());
    json["xyz_2015_2deg"] = triple(tristimulus<ColourMatching::cie2015_2deg>(spectrum).vector());
    json["xyz_2015_10deg"] = triple(tristimulus<ColourMatching::cie2015_10deg>(spectrum).vector());
    json["cielab"] = nullptr;
    if (white) {
        const Lab lab = lab_from_xyz(xyz, *white);
        json["cielab"] = {lab.l_star, lab.a_star, lab.b_star};
    }
}

nlohmann::json colour_difference_json(const DescribedLight& first, const DescribedLight& second,
                                      const std::optional<Xyz>& white) {
    if (!white)
        return nullptr;
    const Lab a = lab_from_xyz(tristimulus(first.light.spectrum), *white);
    const Lab b = lab_from_xyz(tristimulus(second.light.spectrum), *white);
    return {{"cie1976", delta_e_ab(a, b)}, {"ciede2000", delta_e_2000(a, b)}};
}

void print_described_light(const nlohmann::json& json) {
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
    if (json.contains("uv_prime") && !json["uv_prime"].is_null())
        fmt::print("  u' v'                       {}   CIE 1976\n", numbers(json["uv_prime"], 6));
    if (json.contains("cielab") && !json["cielab"].is_null())
        fmt::print("  L* a* b*                    {}   CIELAB\n", numbers(json["cielab"], 6));
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

}  // namespace isoseam
