#pragma once
// What a class is shown and asked: a lecture file, read and checked. The language is described in README.md.
//
//     const Lecture lecture = read_lecture("lecture.yaml");    // InputError with all faults of the file

#include <array>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "protocols/language/protocol.h"
#include "protocols/language/ready_files.h"

namespace isoseam {

inline constexpr int kLectureVersion = 1;
inline constexpr std::size_t kMostScenes = 40;
inline constexpr std::size_t kLeastChoices = 2;
inline constexpr std::size_t kMostChoices = 6;

// One page of words.
struct CardScene {
    Words heading;
    Paragraphs text;
};

// Two half fields and nothing else.
struct FieldScene {};

struct QuestionScene {
    Words ask;
    std::vector<Words> choices;  // There are kLeastChoices to kMostChoices of them.
    std::optional<int> right{};  // The index of the right choice, where one of them is right.
};

// A slider as phones show it: a line from 0 (`low`) to 1 (`high`).
struct SliderWords {
    Words ask;
    Words low;
    Words high;
    double start = 0.5;  // 0 to 1
};

// A slider that each person sets alone. Only the distribution of all answers is shown.
struct SliderScene {
    SliderWords words;
};

struct SteeringSlider {
    enum class Controls {
        share,   // The share of the second light of the mix.
        amount,  // The factor that multiplies the mix.
    };
    Controls controls = Controls::share;
    SliderWords words;  // Its start is a position from 0 to 1, not a value.
    double from = 0.0;  // The value at position 0.
    double to = 1.0;    // The value at position 1.
    double value_at(double position) const { return from + position * (to - from); }
};

// The class's median drives the light of one half, which is ((1 - share) first + share second) times amount.
struct SteerScene {
    Half half = Half::second;
    std::vector<LightSpec> mix;           // One light or two.
    std::vector<SteeringSlider> sliders;  // One or two. With two lights one of them controls `share`.
};

// A page that shows spectra, excitations, and for which eyes the lights would differ.
struct RevealScene {
    enum class Spectra {
        emitted,    // The spectra that the screen emits for the lights.
        described,  // The spectra that describe the lights, whether or not the screen can show them.
    };
    Words heading;
    Paragraphs text;
    std::vector<LightSpec> lights{};  // Two to four. Empty: the lights of a scene.
    int of = -1;                      // The index of the scene whose halves are revealed. -1: `lights`.
    std::array<bool, 3> cones{true, true, true};
    Spectra spectra = Spectra::emitted;
};

// The light of each half. The half that is steered has none.
struct SceneField {
    std::array<std::optional<LightSpec>, 2> halves{};  // By Half.
    Words caption{};                                   // May be empty.
};

struct Scene {
    std::string name;  // No two scenes have the same name.
    std::variant<CardScene, FieldScene, QuestionScene, SliderScene, SteerScene, RevealScene> content;
    // The field that the projector shows. A steered scene and a FieldScene always have one.
    std::optional<SceneField> field{};
    Paragraphs say{};    // What phones show. May be empty.
    Paragraphs notes{};  // What only the desk shows. May be empty.
    std::string key{};   // The scene's path in the file: "scenes[2]".
};

// The kind of the scene: "card", "field", "question", "slider", "steer" or "reveal".
std::string kind_of(const Scene& scene);
// The first tells whether the class answers in the scene. The second gives the sliders that it answers with.
bool asks(const Scene& scene);
std::vector<const SliderWords*> sliders_of(const Scene& scene);

struct Lecture {
    Words title;
    Words closing{};  // What phones show after the last scene. May be empty.
    std::vector<Scene> scenes;
    // Observer, rig, lights, form of the field, languages and places in the file. It is a protocol without
    // blocks and conditions, so that a Setup can resolve its lights.
    Protocol stage;
};

// Words in a language of the lecture, or in its usual language where it does not have that one. "" where
// there are no words.
std::string text_in(const Lecture& lecture, const Words& words, const std::string& language);
std::vector<std::string> text_in(const Lecture& lecture, const Paragraphs& paragraphs,
                                 const std::string& language);
// The heading, caption or question of a scene. Without any of these, its name.
std::string title_of(const Lecture& lecture, const Scene& scene, const std::string& language);

// Reads a lecture and checks its form. One InputError has all faults, each at its line, column and key.
Lecture read_lecture(const std::string& path);
Lecture parse_lecture(const std::string& text, const std::string& file);
// Reads a lecture from what a record keeps. Spectra come from `spectrum_files`, by path as written, and no
// file is read.
Lecture parse_lecture(const std::string& text, const std::string& file,
                      const std::map<std::string, std::string>& spectrum_files);

// Ready lectures stand in the folder that the environment variable ISOSEAM_LECTURE_LIBRARY names or, without
// it, in protocols/lectures/library of the source. The title of a file that cannot be read is its fault.
// MachineError when the folder cannot be read.
using ReadyLecture = ReadyFile;
std::vector<ReadyLecture> ready_lectures();

}  // namespace isoseam
