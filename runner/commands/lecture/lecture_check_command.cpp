
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "protocols/lectures/lecture_schema.h"
#include "protocols/lectures/reveal_words.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/field_picture.h"
#include "runner/commands/language_commands.h"
#include "runner/commands/lecture/lecture_options.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

// ---- check ----
Json report_json(const LectureReport& report) {
    const auto scene_json = [](const LectureReport::SceneReport& scene) {
        return Json{{"name", scene.name}, {"kind", scene.kind}, {"gamut_margin", scene.margin}};
    };
    return {{"faults", report.faults},
            {"scenes", json_list(report.scenes, scene_json)},
            {"languages", report.languages},
            {"cautions", report.cautions}};
}

void print_report(const LectureReport& report) {
    if (tell_faulty(report))
        return;
    fmt::print("{} scenes, languages: {}\n\n", report.scenes.size(),
               report.languages.empty() ? "one" : fmt::format("{}", fmt::join(report.languages, ", ")));
    fmt::print("{:<28} {:<10} {:>14}\n", "scene", "kind", "gamut margin");
    for (const LectureReport::SceneReport& scene : report.scenes)
        fmt::print("{:<28} {:<10} {:>14}\n", scene.name, scene.kind,
                   scene.margin ? fmt::format("{:.3f}", *scene.margin) : "");
    fmt::print(
        "\nMargin: how far linear drives stay from 0 and from full, over the whole way of each slider; 0.5 "
        "at most.\n");
    print_cautions(report.cautions);
}

// A file that cannot be read is bad input. If the screens cannot show a light, that is an answer, and the
// answer is no.
ExitStatus check(const LectureOptions& options, bool json) {
    const std::string path = options.path();
    ExitStatus if_faulty = ExitStatus::bad_input;
    std::map<std::string, std::string> calibrations;
    std::optional<Lecture> lecture;
    try {
        lecture = read_lecture(path);
    } catch (const InputError&) {  // the report below lists the faults
    }
    if (lecture) {
        calibrations = options.calibrations().files(lecture->stage);
        try {
            for (const std::string& file : calibration_paths(lecture->stage, calibrations))
                static_cast<void>(read_calibration(file));
            if_faulty = ExitStatus::answer_is_no;
        } catch (const InputError&) {  // the report below lists these faults too
        }
    }
    const LectureReport report = check_lecture(path, calibrations);
    json ? print_json(report_json(report)) : print_report(report);
    return report.faults.empty() ? ExitStatus::done : if_faulty;
}

// ---- show ----
// One scene as `isoseam lecture show` tells it.
struct ShownScene {
    int number = 0;  // counted from 1
    std::string name;
    std::string kind;
    std::string title;
    std::vector<std::string> notes;
    std::map<std::string, std::vector<double>> linear_of_half;  // empty: the scene shows no field
    std::optional<Revealed> revealed;
    std::vector<std::string> reveal_words;
};

ShownScene shown_scene(const LectureSetup& setup, int index, const std::string& language) {
    const Lecture& lecture = setup.lecture();
    const Scene& scene = lecture.scenes[static_cast<std::size_t>(index)];
    ShownScene shown{index + 1,
                     scene.name,
                     kind_of(scene),
                     title_of(lecture, scene, language),
                     text_in(lecture, scene.notes, language),
                     {},
                     {},
                     {}};
    if (setup.shows_field(index)) {
        const std::array<LinearDrive, 2> drives = setup.lights(index);
        for (const Half half : {Half::first, Half::second}) {
            const Eigen::VectorXd& linear = drives[static_cast<std::size_t>(half)].fractions;
            shown.linear_of_half[half_name(half, lecture.stage.field)] = {linear.begin(), linear.end()};
        }
    }
    if (std::holds_alternative<RevealScene>(scene.content)) {
        shown.revealed = setup.reveal(index);
        shown.reveal_words = reveal_words(*shown.revealed, language);
    }
    return shown;
}

Json scene_json(const ShownScene& scene) {
    Json json{{"number", scene.number},
              {"name", scene.name},
              {"kind", scene.kind},
              {"title", scene.title},
              {"notes", scene.notes}};
    if (!scene.linear_of_half.empty())
        json["drive_linear"] = scene.linear_of_half;
    if (scene.revealed) {
        const auto light_json = [](const RevealedLight& light) {
            const Lms& lms = light.lms;
            return Json{{"light", light.name}, {"lms", {{"l", lms.l}, {"m", lms.m}, {"s", lms.s}}}};
        };
        json["reveal"] = {{"lights", json_list(scene.revealed->lights, light_json)},
                          {"words", scene.reveal_words}};
    }
    return json;
}

void print_scene(const ShownScene& scene) {
    fmt::print("\n{:>2}  {:<9} {}\n", scene.number, scene.kind, scene.title);
    for (const auto& [half, linear] : scene.linear_of_half)
        fmt::print("      {} half: linear drive {:.3f}\n", half, fmt::join(linear, ", "));
    if (scene.revealed) {
        for (const RevealedLight& light : scene.revealed->lights)
            fmt::print("      {}: L {:.4g}, M {:.4g}, S {:.4g}\n", light.name, light.lms.l, light.lms.m,
                       light.lms.s);
        for (const std::string& words : scene.reveal_words)
            fmt::print("      {}\n", words);
    }
    for (const std::string& note : scene.notes)
        fmt::print("      Note: {}\n", note);
}

// Returns the language that was asked for, or else the usual one.
std::string language_of(const Lecture& lecture, const std::string& wanted) {
    const std::vector<std::string>& known = lecture.stage.languages;
    if (wanted.empty())
        return known.empty() ? "" : known.front();
    if (std::find(known.begin(), known.end(), wanted) == known.end()) {
        throw InputError(Fault{lecture.stage.file, 0, 0, "--language",
                               fmt::format("the lecture is not in '{}'", wanted),
                               known.empty() ? "leave it out: the lecture is in one language"
                                             : fmt::format("name one of: {}", fmt::join(known, ", "))});
    }
    return wanted;
}

struct ShowOptions {
    LectureOptions lecture;
    std::string language;
};

ExitStatus show(const ShowOptions& options, bool json) {
    const LectureSetup setup = options.lecture.setup();
    const Lecture& lecture = setup.lecture();
    const std::string language = language_of(lecture, options.language);
    std::vector<ShownScene> shown;
    for (int i = 0; i < static_cast<int>(lecture.scenes.size()); ++i)
        shown.push_back(shown_scene(setup, i, language));
    const std::string title = text_in(lecture, lecture.title, language);
    if (json) {
        print_json({{"title", title},
                    {"about", lecture.stage.about},
                    {"languages", lecture.stage.languages},
                    {"scenes", json_list(shown, scene_json)}});
        return ExitStatus::done;
    }
    fmt::print("{}\n", title);
    for (const ShownScene& scene : shown)
        print_scene(scene);
    fmt::print("\nLights of steered halves and reveals of them: as the sliders start.\n");
    return ExitStatus::done;
}

// ---- preview ----
struct PreviewOptions {
    LectureOptions lecture;
    std::string scene;
    std::vector<double> sliders;
    OutputOption out;
};

// Returns the scene of this name. Without a name it is the first scene that shows a field.
int previewed_scene(const LectureSetup& setup, const std::string& name) {
    std::vector<std::string> names;
    for (int i = 0; i < static_cast<int>(setup.lecture().scenes.size()); ++i) {
        if (!setup.shows_field(i))
            continue;
        names.push_back(setup.lecture().scenes[static_cast<std::size_t>(i)].name);
        if (name.empty() || names.back() == name)
            return i;
    }
    throw InputError(Fault{
        setup.lecture().stage.file, 0, 0, "--scene",
        name.empty() ? "no scene shows a field" : fmt::format("there is no scene '{}' with a field", name),
        names.empty() ? "preview another lecture" : fmt::format("name one of: {}", fmt::join(names, ", "))});
}

void check_sliders(const LectureSetup& setup, int scene, const std::vector<double>& sliders) {
    if (sliders.empty())
        return;
    const Scene& asked = setup.lecture().scenes[static_cast<std::size_t>(scene)];
    const auto* steer = std::get_if<SteerScene>(&asked.content);
    const std::size_t count = steer == nullptr ? 0 : steer->sliders.size();
    bool sound = sliders.size() == count;
    for (const double place : sliders)
        sound = sound && place >= 0.0 && place <= 1.0;
    if (!sound) {
        throw InputError(
            Fault{setup.lecture().stage.file, 0, 0, "--slider",
                  fmt::format("places {:g} for scene '{}'", fmt::join(sliders, ", "), asked.name),
                  count == 0 ? "leave it out: the class steers nothing there"
                             : fmt::format("give it {} time(s), each from 0 to 1", count)});
    }
}

ExitStatus preview(const PreviewOptions& options, bool json) {
    const LectureSetup setup = options.lecture.setup();
    const int scene = previewed_scene(setup, options.scene);
    check_sliders(setup, scene, options.sliders);
    options.out.check(files_read_for(setup.stage()));
    FieldLights lights;
    lights.halves = setup.lights(scene, options.sliders);
    options.out.write(field_png(setup.stage(), lights), files_read_for(setup.stage()));
    return print_picture(options.out, json);
}

void add_preview(Command& lecture) {
    Command* command = lecture.add_subcommand("preview", "draw the field of one scene, without a screen");
    const auto options = std::make_shared<PreviewOptions>();
    options->lecture.add_to(command);
    options->out.add_to(command, "PNG file to write")->required();
    command->add_option("--scene", options->scene, "name of the scene (the first that shows a field)");
    command
        ->add_option("--slider", options->sliders,
                     "where a slider of a steered half stands, 0 to 1; once for each (where they start)")
        ->allow_extra_args(false);
    finish_command(command, options, preview);
}

}  // namespace

void add_lecture_check_commands(Command& lecture) {
    Command* check_command =
        lecture.add_subcommand("check", "every fault, the gamut of each scene, what it can show");
    const auto check_options = std::make_shared<LectureOptions>();
    check_options->add_to(check_command);
    finish_command(check_command, check_options, check);

    Command* show_command =
        lecture.add_subcommand("show", "its scenes, their lights, and what its reveals say");
    const auto show_options = std::make_shared<ShowOptions>();
    show_options->lecture.add_to(show_command);
    show_command->add_option("--language", show_options->language,
                             "code of one of its languages (the first)");
    finish_command(show_command, show_options, show);
    add_preview(lecture);
    add_language_commands(lecture, "lectures", lecture_schema, ready_lectures, 28);
}

}  // namespace isoseam
