#include "protocols/lectures/reveal_lights.h"

#include <fmt/format.h>

#include <utility>

#include "base/yaml_reader.h"
#include "protocols/setup/gamut_advice.h"
#include "protocols/setup/light_use.h"

namespace isoseam {
namespace {

// A light as it is described, without any screen.
RevealedLight described(const Setup& stage, const LightSpec& spec) {
    const Light light = resolve(spec, stage.observer(), descriptions_of(stage.protocol()));
    if (light.spectrum_is_assumed) {
        throw InputError("a light that is described by three numbers has no spectrum of its own",
                         "describe it by a spectrum (monochromatic, blackbody, a mixture of such), or "
                         "write 'spectra: emitted'");
    }
    return {spec.text(), light.spectrum, light.lms};
}

RevealedLight emitted(const Setup& stage, std::string name, const LinearDrive& linear, int source) {
    const DriveSolver& solver = stage.solver(source);
    return {std::move(name), solver.display().spectrum(linear), solver.lms(linear)};
}

RevealedLight emitted(const Setup& stage, const LightSpec& spec, int source) {
    const DriveSolver& solver = stage.solver(source);
    const Lms lms = stage.light(spec, source).lms;
    if (lms.vector().isZero(0.0))
        return emitted(stage, spec.text(), {Eigen::VectorXd::Zero(solver.display().primary_count())}, source);
    const DriveSolution solution = solver.solve(lms);
    if (!solution.in_gamut) {
        throw InputError(
            fmt::format("'{}' is {}", spec.text(), gamut_miss(solution, solver, stage.source_name(source))),
            gamut_remedy(stage, spec, source, source));
    }
    return emitted(stage, spec.text(), solution.linear, source);
}

// The lights of the two halves of a scene.
std::vector<RevealedLight> lights_of_scene(const LectureSetup& setup, int scene, bool by_description,
                                           const std::vector<double>& found) {
    const Setup& stage = setup.stage();
    const Scene& shown = setup.lecture().scenes[static_cast<std::size_t>(scene)];
    const std::array<LinearDrive, 2> drives = setup.lights(scene, found);
    std::vector<RevealedLight> lights;
    for (std::size_t i = 0; i < drives.size(); ++i) {
        const std::optional<LightSpec>& spec = shown.field->halves[i];
        lights.push_back(by_description ? described(stage, spec.value())
                                        : emitted(stage, spec ? spec->text() : "steered", drives[i],
                                                  stage.source_of(static_cast<Half>(i))));
    }
    // The light of the half that was not steered comes first, and the steered one is compared with it.
    if (!shown.field->halves[0])
        std::swap(lights[0], lights[1]);
    return lights;
}

}  // namespace

std::vector<RevealedLight> revealed_lights(const LectureSetup& setup, int scene,
                                           const std::vector<double>& found) {
    const Setup& stage = setup.stage();
    const Scene& asked = setup.lecture().scenes[static_cast<std::size_t>(scene)];
    const auto& reveal = std::get<RevealScene>(asked.content);
    const bool by_description = reveal.spectra == RevealScene::Spectra::described;
    FaultList faults(stage.protocol().file);
    const auto told = [&](const InputError& error, const std::string& key) {
        for (const Fault& fault : error.faults())
            faults.add(fault.line > 0 ? fault : stage.protocol().fault_at(key, fault.found, fault.remedy));
    };
    std::vector<RevealedLight> lights;
    if (reveal.of >= 0) {
        try {
            lights = lights_of_scene(setup, reveal.of, by_description, found);
        } catch (const InputError& error) {
            told(error, asked.key + ".reveal.of");
        }
    }
    for (std::size_t i = 0; i < reveal.lights.size(); ++i) {
        const int source = stage.source_of(i == 0 ? Half::first : Half::second);
        try {
            lights.push_back(by_description ? described(stage, reveal.lights[i])
                                            : emitted(stage, reveal.lights[i], source));
        } catch (const InputError& error) {
            told(error, description_key(stage.protocol(), reveal.lights[i],
                                        fmt::format("{}.reveal.lights[{}]", asked.key, i + 1)));
        }
    }
    faults.throw_if_any();
    return lights;
}

Revealed compared(std::vector<RevealedLight> lights, const std::array<bool, 3>& cones,
                  const ObserverParameters& nominal) {
    Revealed revealed;
    revealed.cones = cones;
    revealed.nominal = nominal;
    ObserverParameters with_cones = nominal;
    with_cones.lacks_l = !cones[0];
    with_cones.lacks_m = !cones[1];
    with_cones.lacks_s = !cones[2];
    const Observer nominal_eye(nominal);
    const Observer eye_with_cones(with_cones);
    for (std::size_t i = 1; i < lights.size(); ++i) {
        const Spectrum& first = lights.front().spectrum;
        const Spectrum& second = lights[i].spectrum;
        RevealedPair pair;
        pair.second = static_cast<int>(i);
        pair.nominal = difference(nominal_eye, first, second, revealed.threshold);
        pair.with_cones_shown = difference(eye_with_cones, first, second, revealed.threshold);
        for (const EyeType type : {EyeType::protanope, EyeType::deuteranope, EyeType::tritanope}) {
            pair.dichromats_see[type] =
                !difference(Observer(as_type(nominal, type)), first, second, revealed.threshold).is_alike();
        }
        pair.population =
            difference_for_population(nominal, kRevealedEyes, kRevealSeed, first, second, revealed.threshold);
        revealed.pairs.push_back(std::move(pair));
    }
    revealed.lights = std::move(lights);
    return revealed;
}

}  // namespace isoseam
