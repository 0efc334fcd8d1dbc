#include "protocols/lectures/lecture_setup.h"
#include "protocols/setup/setup.h"

namespace isoseam {
namespace {

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

std::vector<LightSpec> lights_of_scenes(const Lecture& lecture) {
    std::vector<LightSpec> lights;
    for (const Scene& scene : lecture.scenes) {
        if (scene.field) {
            for (const std::optional<LightSpec>& half : scene.field->halves) {
                if (half)
                    lights.push_back(*half);
            }
        }
        if (const auto* steer = std::get_if<SteerScene>(&scene.content))
            lights.insert(lights.end(), steer->mix.begin(), steer->mix.end());
        if (const auto* reveal = std::get_if<RevealScene>(&scene.content))
            lights.insert(lights.end(), reveal->lights.begin(), reveal->lights.end());
    }
    return lights;
}

}  // namespace

std::vector<Caution> LectureSetup::cautions() const {
    std::vector<Caution> cautions;
    note_unmeasured(
        stage_,
        "the spectra that a reveal shows are those of no real screen. Measure yours, and name its "
        "calibration with --calibration.",
        "the spectra that a reveal shows are typical of its kind of panel, not measured. Good for "
        "showing and teaching, not for data.",
        cautions);
    cautions.push_back({CautionKind::primaries, stage_.halves_share_primaries() ? kOneScreen : kTwoScreens});
    note_field_of_observer(stage_.protocol(), "", cautions);
    note_unused_lights(lecture_.stage, lights_of_scenes(lecture_), cautions);
    cautions.push_back({CautionKind::audience, kRows});
    cautions.push_back({CautionKind::diagnosis, kNoDiagnosis});
    return cautions;
}

}  // namespace isoseam
