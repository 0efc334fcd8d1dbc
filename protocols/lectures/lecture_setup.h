#pragma once
// A lecture with its calibrations: what each scene lights, how the class's sliders drive a half, and what a
// reveal tells.
//
//     const LectureSetup setup(read_lecture(path), calibrations);  // InputError: all lights that do not fit
//     setup.lights(scene, {0.5})                                   // both halves at half the slider

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "colorimetry/eye_types.h"
#include "colorimetry/light_comparison.h"
#include "protocols/lectures/lecture.h"
#include "protocols/setup/caution.h"
#include "protocols/setup/setup.h"

namespace isoseam {

// A reveal calculates with so many colour-normal eyes about the nominal observer. They are always the same.
inline constexpr int kRevealedEyes = 400;
inline constexpr std::uint64_t kRevealSeed = 1;

struct RevealedLight {
    std::string name;   // As the file names or describes it. A steered half is called "steered".
    Spectrum spectrum;  // It includes the screen's black where the screen realises the light.
    Lms lms;            // The excitations of the nominal observer.
};

// Two of the lights, for the nominal eye and for others.
struct RevealedPair {
    // Indices into the lights.
    int first = 0;
    int second = 1;
    EyeDifference nominal;
    EyeDifference with_cones_shown;  // For an eye that has only the cones of the reveal.
    // Whether a calculated protanope, deuteranope and tritanope see a difference.
    std::map<EyeType, bool> dichromats_see{};
    PopulationDifference population;
};

struct Revealed {
    std::vector<RevealedLight> lights;
    std::array<bool, 3> cones{true, true, true};
    std::vector<RevealedPair> pairs;  // The first light with each of the others.
    DifferenceThreshold threshold;
    ObserverParameters nominal;
};

class LectureSetup {
  public:
    // `calibrations` come in the order of lecture.stage.rig.sources. One InputError, at the lecture's lines,
    // collects every light that is out of gamut on the half that shows it, over the whole way of every
    // slider, and every reveal whose lights cannot be computed. On a screen whose primaries add up, the gamut
    // is convex, so that it is enough to look at the ends of the sliders. On any other screen a grid of
    // kSteerGrid points of each slider is looked at.
    LectureSetup(Lecture lecture, const std::vector<Calibration>& calibrations);
    static constexpr int kSteerGrid = 65;

    const Lecture& lecture() const { return lecture_; }
    // The setup for those parts that compose and show fields.
    const Setup& stage() const { return stage_; }

    // Whether the projector shows half fields in a scene (an index).
    bool shows_field(int scene) const;
    // The light of each half on its source, continuous in `positions`. `positions` are those of the sliders,
    // each 0 to 1 (checked). They are empty for scenes without sliders, and for the sliders' starts.
    // InputError on a screen whose primaries do not add up, where a point between those that were looked at
    // is out of gamut.
    std::array<LinearDrive, 2> lights(int scene, const std::vector<double>& positions = {}) const;
    // Where the sliders of a scene start.
    std::vector<double> starts(int scene) const;

    // What a reveal tells. `found` are the positions that the class came to, for a reveal of a steered scene.
    // Empty: the sliders' starts.
    Revealed reveal(int scene, const std::vector<double>& found = {}) const;

    // How far all lights of a scene stay inside the gamut, by gamut margin. None for a scene without a field.
    std::optional<double> margin(int scene) const;
    // What this screen's lights can and cannot show, and what else a lecturer should know, in plain words.
    std::vector<Caution> cautions() const;

  private:
    struct Noting;
    void keep_field(int scene, Noting& noting);
    void keep_steered(int scene, Noting& noting);
    void note_margin(int scene, std::optional<double> margin);
    void check_reveal(int scene, Noting& noting) const;

    Lecture lecture_;
    Setup stage_;
    std::map<int, std::array<LinearDrive, 2>> halves_;  // By scene. The drive of a steered half is empty.
    std::map<int, std::array<Lms, 2>> steered_;  // By scene: what the screen emits for its mix's lights.
    std::map<int, double> margins_;              // By scene.
};

// `lecture check`: everything that can be said before a class comes.
struct LectureReport {
    std::vector<Fault> faults;
    std::vector<std::string> cautions;
    std::vector<std::string> languages;
    struct SceneReport {
        std::string name;
        std::string kind;
        std::optional<double> margin;  // That of its lights. None without a field.
    };
    std::vector<SceneReport> scenes;
};
// `calibration_files` maps a source's name to the path from the command line, which replaces the lecture's
// own.
LectureReport check_lecture(const std::string& path,
                            const std::map<std::string, std::string>& calibration_files);

}  // namespace isoseam
