#include "runner/commands/light_description.h"

#include <fmt/format.h>

#include "base/yaml_reader.h"
#include "colorimetry/cielab.h"
#include "colorimetry/colour_difference.h"
#include "colorimetry/colour_space.h"
#include "runner/commands/option_faults.h"

namespace isoseam {
namespace {

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

// Returns what `call` makes of a light on the command line. Faults that are in no file name the light.
template <class Call>
auto naming_light(const std::string& words, const Call& call) {
    return changing_faults(call, [&](Fault& fault) {
        if (!fault.file.empty())
            return;
        fault.key = fault.key.empty() ? fmt::format("light '{}'", words)
                                      : fmt::format("light '{}' ({})", words, fault.key);
        if (fault.column > 0)
            fault.found = fmt::format("{} (character {})", fault.found, fault.column);
        fault.column = 0;
    });
}

// Returns the light as the eye catches it. The light that was resolved keeps what the eye with three cones
// catches.
Light seen_by(const LightEye& eye, Light light) {
    const ObserverParameters& parameters = eye.observer.parameters();
    if (parameters.lacks_l || parameters.lacks_m || parameters.lacks_s)
        light.lms = eye.observer.excitations(light.spectrum);
    return light;
}

LightDrive drive_of(const ShownOn& screen, const Lms& lms) {
    LightDrive drive{screen.solver.solve(lms), screen.bits, {}, {}};
    if (drive.solution.in_gamut) {
        const DisplayModel& display = screen.solver.display();
        drive.drive = display.drive_from_linear(drive.solution.linear);
        drive.code = code_from_linear(drive.solution.linear, display, screen.bits);
    }
    return drive;
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
    DescribedLight described;
    described.light = seen_by(eye, resolved);
    described.text = spec.text();
    described.observer = observer.description();
    const Light& light = described.light;
    described.xyz = tristimulus(light.spectrum);
    described.luminance_cie170_cd_m2 = luminance_cd_m2(light.lms, observer);
    if (has_chromaticity(described.xyz))
        described.xyy = xyy_from_xyz(described.xyz);
    if (described.luminance_cie170_cd_m2 > 0.0)
        described.macleod_boynton = macleod_boynton_from_lms(light.lms, observer);
    described.unseen_share = observer.unseen_share(light.spectrum);
    if (screen)
        described.drive = drive_of(*screen, resolved.lms);
    return described;
}

LightColour light_colour(const Spectrum& spectrum, const std::optional<Xyz>& white) {
    LightColour colour;
    const Xyz xyz = tristimulus(spectrum);
    if (has_chromaticity(xyz))
        colour.uv_prime = uniform_chromaticity_from_xyz(xyz);
    colour.xyz_1964_10deg = tristimulus<ColourMatching::cie1964_10deg>(spectrum);
    colour.xyz_2015_2deg = tristimulus<ColourMatching::cie2015_2deg>(spectrum);
    colour.xyz_2015_10deg = tristimulus<ColourMatching::cie2015_10deg>(spectrum);
    if (white)
        colour.lab = lab_from_xyz(xyz, *white);
    return colour;
}

std::optional<ColourDifference> colour_difference(const DescribedLight& first, const DescribedLight& second,
                                                  const std::optional<Xyz>& white) {
    if (!white)
        return std::nullopt;
    const Lab a = lab_from_xyz(first.xyz, *white);
    const Lab b = lab_from_xyz(second.xyz, *white);
    return ColourDifference{delta_e_ab(a, b), delta_e_2000(a, b)};
}

}  // namespace isoseam
