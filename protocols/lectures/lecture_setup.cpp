#include "protocols/lectures/lecture_setup.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <utility>

#include "base/yaml_reader.h"
#include "protocols/lectures/reveal_lights.h"
#include "protocols/setup/gamut_advice.h"
#include "protocols/setup/light_use.h"

namespace isoseam {
namespace {

const Scene& scene_of(const Lecture& lecture, int scene) {
    ISOSEAM_CHECK_GE(scene, 0);
    ISOSEAM_CHECK_LT(scene, lecture.scenes.size());
    return lecture.scenes[static_cast<std::size_t>(scene)];
}

struct MixPoint {
    double share = 0.0;
    double amount = 1.0;
};

MixPoint point_at(const SteerScene& steer, const std::vector<double>& positions) {
    ISOSEAM_CHECK_EQ(positions.size(), steer.sliders.size());
    MixPoint point;
    for (std::size_t i = 0; i < positions.size(); ++i) {
        ISOSEAM_CHECK(positions[i] >= 0.0 && positions[i] <= 1.0,
                      fmt::format("slider {} at {}", i, positions[i]));
        const SteeringSlider& slider = steer.sliders[i];
        const double value = slider.value_at(positions[i]);
        (slider.controls == SteeringSlider::Controls::share ? point.share : point.amount) = value;
    }
    return point;
}

Lms mixed(const std::array<Lms, 2>& mix, const MixPoint& point) {
    return Lms::from_vector(point.amount *
                            ((1.0 - point.share) * mix[0].vector() + point.share * mix[1].vector()));
}

// All combinations of the sliders' positions, where each slider has `steps` positions evenly from 0 to 1.
std::vector<std::vector<double>> places_of(std::size_t sliders, int steps) {
    std::vector<std::vector<double>> places{{}};
    for (std::size_t slider = 0; slider < sliders; ++slider) {
        std::vector<std::vector<double>> longer;
        for (const std::vector<double>& place : places) {
            for (int step = 0; step < steps; ++step) {
                longer.push_back(place);
                longer.back().push_back(static_cast<double>(step) / (steps - 1));
            }
        }
        places = std::move(longer);
    }
    return places;
}

std::string point_text(const SteerScene& steer, const MixPoint& point) {
    const std::string share = steer.mix.size() == 2 ? fmt::format("share {:.3g} and ", point.share) : "";
    return fmt::format("with {}amount {:.3g}", share, point.amount);
}

Fault steer_fault(const Setup& stage, const Scene& scene, const MixPoint& point, const Lms& wanted) {
    const auto& steer = std::get<SteerScene>(scene.content);
    const int source = stage.source_of(steer.half);
    const DriveSolver& solver = stage.solver(source);
    const auto fitting = fitting_factors(solver, wanted);
    std::string remedy = "narrow the sliders' ranges, or choose lights nearer to the middle of the gamut";
    if (fitting && fitting->highest < 1.0)
        remedy = fmt::format("let the amount stay below {:.3g}, or choose dimmer lights",
                             std::floor(1000.0 * point.amount * fitting->highest) / 1000.0);
    return stage.protocol().fault_at(
        scene.key + ".steer.mix",
        fmt::format("{} the steered half is {}", point_text(steer, point),
                    gamut_miss(solver.solve(wanted), solver, stage.source_name(source))),
        remedy);
}

}  // namespace

// What was found wrong. The fault of each description of a light is told once for each screen, for the first
// part that uses it.
struct LectureSetup::Noting {
    FaultList faults;
    std::set<std::pair<std::string, int>> told{};  // Keys and sources whose faults are noted.

    // What shows the light. If the light cannot be shown, the fault is noted and the result is nullopt. A
    // fault without a place gets the light's place.
    std::optional<ShownLight> shown(const Setup& stage, const LightUse& use) {
        const std::pair place(description_key(stage.protocol(), use.spec, use.key), use.source);
        if (told.contains(place))
            return std::nullopt;
        std::optional<ShownLight> light = shown_or_noted(stage, use, faults);
        if (!light)
            told.insert(place);
        return light;
    }
};

LectureSetup::LectureSetup(Lecture lecture, const std::vector<Calibration>& calibrations)
    : lecture_(std::move(lecture)), stage_(lecture_.stage, calibrations) {
    Noting noting{FaultList(lecture_.stage.file)};
    for (int scene = 0; scene < static_cast<int>(lecture_.scenes.size()); ++scene) {
        keep_field(scene, noting);
        keep_steered(scene, noting);
    }
    for (int scene = 0; scene < static_cast<int>(lecture_.scenes.size()); ++scene)
        check_reveal(scene, noting);
    noting.faults.throw_if_any();
}

void LectureSetup::keep_field(int scene, Noting& noting) {
    const Scene& asked = scene_of(lecture_, scene);
    if (!asked.field)
        return;
    std::array<LinearDrive, 2> halves;
    for (std::size_t i = 0; i < halves.size(); ++i) {
        const auto half = static_cast<Half>(i);
        const std::optional<LightSpec>& light = asked.field->halves[i];
        if (!light)
            continue;
        const std::string name = half_name(half, lecture_.stage.field);
        const LightUse use{*light, fmt::format("{}.field.{}", asked.key, name),
                           fmt::format("the {} half of scene '{}'", name, asked.name),
                           stage_.source_of(half)};
        const std::optional<ShownLight> shown = noting.shown(stage_, use);
        if (!shown)
            continue;
        halves[i] = shown->linear;
        note_margin(scene, shown->margin);
    }
    halves_[scene] = std::move(halves);
}

void LectureSetup::keep_steered(int scene, Noting& noting) {
    const Scene& asked = scene_of(lecture_, scene);
    const auto* steer = std::get_if<SteerScene>(&asked.content);
    if (steer == nullptr)
        return;
    const int source = stage_.source_of(steer->half);
    const DriveSolver& solver = stage_.solver(source);
    std::vector<Lms> mix;
    for (std::size_t i = 0; i < steer->mix.size(); ++i) {
        const LightUse use{steer->mix[i], fmt::format("{}.steer.mix[{}]", asked.key, i + 1),
                           fmt::format("light {} of the mix of scene '{}'", i + 1, asked.name), source};
        if (const std::optional<ShownLight> shown = noting.shown(stage_, use))
            mix.push_back(solver.lms(shown->linear));
    }
    if (mix.empty() || mix.size() < steer->mix.size())
        return;
    const std::array<Lms, 2> ends{mix.front(), mix.back()};
    steered_[scene] = ends;
    const int steps = solver.display().additive() ? 2 : kSteerGrid;
    std::optional<Fault> worst;
    double least = std::numeric_limits<double>::infinity();
    for (const std::vector<double>& positions : places_of(steer->sliders.size(), steps)) {
        const MixPoint point = point_at(*steer, positions);
        const Lms wanted = mixed(ends, point);
        const DriveSolution solution = solver.solve(wanted);
        if (!(solution.gamut_margin < least))
            continue;
        least = solution.gamut_margin;
        if (!solution.in_gamut)
            worst = steer_fault(stage_, asked, point, wanted);
    }
    if (worst)
        noting.faults.add(*worst);
    note_margin(scene, least);
}

void LectureSetup::note_margin(int scene, std::optional<double> margin) {
    if (!margin)
        return;
    const auto known = margins_.emplace(scene, *margin).first;
    known->second = std::min(known->second, *margin);
}

bool LectureSetup::shows_field(int scene) const {
    return scene_of(lecture_, scene).field.has_value();
}

std::vector<double> LectureSetup::starts(int scene) const {
    std::vector<double> starts;
    for (const SliderWords* slider : sliders_of(scene_of(lecture_, scene)))
        starts.push_back(slider->start);
    return starts;
}

std::array<LinearDrive, 2> LectureSetup::lights(int scene, const std::vector<double>& positions) const {
    ISOSEAM_CHECK(shows_field(scene), scene_of(lecture_, scene).name);
    std::array<LinearDrive, 2> halves = halves_.at(scene);
    const Scene& asked = scene_of(lecture_, scene);
    const auto* steer = std::get_if<SteerScene>(&asked.content);
    if (steer == nullptr)
        return halves;
    const MixPoint point = point_at(*steer, positions.empty() ? starts(scene) : positions);
    const Lms wanted = mixed(steered_.at(scene), point);
    DriveSolution solution = stage_.solver(steer->half).solve(wanted);
    if (!solution.in_gamut)
        throw InputError(steer_fault(stage_, asked, point, wanted));
    halves[static_cast<std::size_t>(steer->half)] = std::move(solution.linear);
    return halves;
}

std::optional<double> LectureSetup::margin(int scene) const {
    const auto known = margins_.find(scene);
    return known == margins_.end() ? std::nullopt : std::optional<double>(known->second);
}

Revealed LectureSetup::reveal(int scene, const std::vector<double>& found) const {
    const Scene& asked = scene_of(lecture_, scene);
    ISOSEAM_CHECK(std::holds_alternative<RevealScene>(asked.content), asked.name);
    return compared(revealed_lights(*this, scene, found), std::get<RevealScene>(asked.content).cones,
                    lecture_.stage.observer);
}

void LectureSetup::check_reveal(int scene, Noting& noting) const {
    const Scene& asked = scene_of(lecture_, scene);
    const auto* reveal = std::get_if<RevealScene>(&asked.content);
    if (reveal == nullptr || (reveal->of >= 0 && !noting.faults.empty()))
        return;
    try {
        static_cast<void>(revealed_lights(*this, scene, {}));
    } catch (const InputError& error) {
        for (const Fault& fault : error.faults()) {
            const std::vector<Fault>& noted = noting.faults.faults();
            const bool told = std::any_of(noted.begin(), noted.end(),
                                          [&](const Fault& other) { return other.key == fault.key; });
            if (!told)
                noting.faults.add(fault);
        }
    }
}

}  // namespace isoseam
