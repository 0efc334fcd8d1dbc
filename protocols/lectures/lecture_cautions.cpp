#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "protocols/lectures/lecture_setup.h"
#include "protocols/setup/setup.h"

namespace isoseam {
namespace {

constexpr double kSameAngleDeg = 1e-6;  // Two angles that differ by less count as the same.

constexpr const char* kOneScreen =
    "Both halves are lit by the same primaries. To eyes with three kinds of cones two lights look alike "
    "there only "
    "if they are the same light, and such eyes find a match where the drive values are equal, whichever they "
    "are. "
    "What differs between them shows only where two screens with different primaries light a half each.";
constexpr const char* kTwoScreens =
    "The halves are lit by different primaries, so which lights look alike depends on the eye: people in the "
    "room will disagree, and each of them may be right.";
constexpr const char* kRows =
    "People in a room sit at different distances and see the screen at different angles: the sizes in "
    "degrees "
    "hold for the distance that the rig names alone, and a projected picture is not equally bright "
    "everywhere. "
    "Show metamers in the middle of the screen, and darken the room.";
constexpr const char* kNoDiagnosis =
    "What a person in the room sees or answers diagnoses nothing: screening for and diagnosis of "
    "colour-vision "
    "deficiency belong to a qualified person with an approved instrument. Ask nobody to tell the others how "
    "they see.";

void note_calibrations(const Setup& stage, std::vector<Caution>& cautions) {
    for (int i = 0; i < stage.source_count(); ++i) {
        const Calibration& calibration = stage.solver(i).display().calibration();
        if (calibration.invented) {
            cautions.push_back(
                {CautionKind::calibration,
                 fmt::format(
                     "The calibration '{}' is invented demo data: the spectra that a reveal shows are "
                     "those of no real "
                     "screen. Measure yours, and name its calibration with --calibration.",
                     calibration.name)});
        }
        if (calibration.estimated) {
            cautions.push_back(
                {CautionKind::calibration,
                 fmt::format("The calibration '{}' is estimated: the spectra that a reveal shows are typical "
                             "of its kind of "
                             "panel, not measured. Good for showing and teaching, not for data.",
                             calibration.name)});
        }
    }
}

void note_field_of_observer(const Protocol& stage, std::vector<Caution>& cautions) {
    const double size_deg = stage.field.size.degrees();
    const double observer_deg = stage.observer.field.degrees();
    // The standard has observers for fields of 1 to 10 degrees.
    const double fitting_deg = std::clamp(size_deg, 1.0, 10.0);
    if (std::abs(observer_deg - fitting_deg) <= kSameAngleDeg)
        return;
    cautions.push_back({CautionKind::observer_field,
                        fmt::format("The observer's field is {:.4g} deg but the field is {:.4g} deg: an "
                                    "observer of {:.4g} deg would fit.",
                                    observer_deg, size_deg, fitting_deg)});
}

void note_names(const LightSpec& spec, const Protocol& stage, std::set<std::string>& used) {
    for (const std::string& name : spec.names_used()) {
        if (used.insert(name).second)
            note_names(stage.lights.at(name).spec, stage, used);
    }
}

void note_unused_lights(const Lecture& lecture, std::vector<Caution>& cautions) {
    const Protocol& stage = lecture.stage;
    std::vector<LightSpec> lights{stage.surround};
    const auto add = [&](const std::optional<LightSpec>& light) {
        if (light)
            lights.push_back(*light);
    };
    add(stage.ring);
    add(stage.fixation);
    for (const Scene& scene : lecture.scenes) {
        if (scene.field) {
            add(scene.field->halves[0]);
            add(scene.field->halves[1]);
        }
        if (const auto* steer = std::get_if<SteerScene>(&scene.content))
            lights.insert(lights.end(), steer->mix.begin(), steer->mix.end());
        if (const auto* reveal = std::get_if<RevealScene>(&scene.content))
            lights.insert(lights.end(), reveal->lights.begin(), reveal->lights.end());
    }
    std::set<std::string> used;
    for (const LightSpec& light : lights)
        note_names(light, stage, used);
    for (const auto& [name, light] : stage.lights) {
        if (used.count(name) == 0)
            cautions.push_back({CautionKind::unused_light,
                                fmt::format("The light '{}' (line {}) is never used.", name, light.line)});
    }
}

}  // namespace

std::vector<Caution> LectureSetup::cautions() const {
    std::vector<Caution> cautions;
    note_calibrations(stage_, cautions);
    cautions.push_back({CautionKind::primaries, stage_.halves_share_primaries() ? kOneScreen : kTwoScreens});
    note_field_of_observer(stage_.protocol(), cautions);
    note_unused_lights(lecture_, cautions);
    cautions.push_back({CautionKind::audience, kRows});
    cautions.push_back({CautionKind::diagnosis, kNoDiagnosis});
    return cautions;
}

}  // namespace isoseam
