#include <fmt/format.h>

#include <string_view>

#include "protocols/lectures/scene_reader.h"

namespace isoseam {
namespace {

// The number of bytes of the character at `from` in UTF-8 (RFC 3629, section 4). 0 where there is no valid
// character.
std::size_t length_of_character(std::string_view text, std::size_t from) {
    const auto byte = [&](std::size_t i) {
        return from + i < text.size() ? static_cast<unsigned char>(text[from + i]) : 0U;
    };
    const auto within = [&](std::size_t i, unsigned lowest, unsigned highest) {
        return byte(i) >= lowest && byte(i) <= highest;
    };
    const auto follows = [&](std::size_t i) { return within(i, 0x80, 0xBF); };
    const unsigned first = byte(0);
    if (first < 0x80)
        return 1;
    if (first >= 0xC2 && first <= 0xDF)
        return follows(1) ? 2 : 0;
    if (first >= 0xE0 && first <= 0xEF) {
        const bool sound = within(1, first == 0xE0 ? 0xA0 : 0x80, first == 0xED ? 0x9F : 0xBF) && follows(2);
        return sound ? 3 : 0;
    }
    if (first >= 0xF0 && first <= 0xF4) {
        const bool sound =
            within(1, first == 0xF0 ? 0x90 : 0x80, first == 0xF4 ? 0x8F : 0xBF) && follows(2) && follows(3);
        return sound ? 4 : 0;
    }
    return 0;
}

// The text must be UTF-8, because phones and desks get it as JSON.
void require_utf8(const std::string& text, const std::string& file) {
    int line = 1;
    for (std::size_t place = 0; place < text.size();) {
        const std::size_t length = length_of_character(text, place);
        if (length == 0)
            throw InputError(Fault{file, line, 0, "", "is not UTF-8 text", "save it as UTF-8"});
        line += text[place] == '\n' ? 1 : 0;
        place += length;
    }
}

void check_stage(const YamlNode& root, const Protocol& stage) {
    if (stage.age_from_session) {
        root.find("observer")
            .find("age")
            .fault("a class has no one age", "write the age that lights are computed for, such as 32 years");
    }
    if (stage.field.parts != FieldParts::halves) {
        root.find("field").find("parts").fault("a lecture shows two halves",
                                               "take parts away; for one light write it for both halves");
    }
}

void read_sections(const YamlNode& root, Lecture& lecture, FaultList& faults,
                   const std::map<std::string, std::string>* files) {
    only_keys_without_flicker(root, {"isoseam_lecture", "title", "about", "languages", "observer", "rig",
                                     "lights", "field", "scenes", "closing"});
    Protocol& stage = lecture.stage;
    const TextReader texts(root.find("languages"), stage);
    lecture.title = texts.words(root.at("title", "one line that names the lecture"));
    lecture.closing = texts.words(root.find("closing"));
    stage.about = read_words(root.find("about")).value_or("");
    read_observer(root.at("observer", "the nominal observer: {field: 10 deg, age: 32 years}"), stage);
    LightReader lights(root.find("lights"), stage, faults, files);
    lights.read_named_lights();
    ProtocolReading reading{stage, faults, lights, texts};
    reading.halves = read_field(root.at("field", "the form of the two halves: shape, size, split, surround"),
                                stage, lights);
    read_rig(root.at("rig", "the viewing distance, the screens and the half that each one lights"),
             reading.halves, stage);
    check_stage(root, stage);
    read_scenes(root.at("scenes", "a list of what is shown and asked"), reading, lecture);
}

Lecture parse(const std::string& text, const std::string& file,
              const std::map<std::string, std::string>* spectrum_files) {
    require_utf8(text, file);
    FaultList faults(file);
    Lecture lecture;
    lecture.stage.file = file;
    lecture.stage.text = text;
    const YamlNode root = parse_yaml(text, faults);
    if (!root.is_map())
        root.fault("this is not a lecture",
                   "write 'key: value' lines; protocols/lectures/README.md has an example");
    faults.throw_if_any();
    check_version(root, {"isoseam_lecture", "the language of lectures", "lecture", kLectureVersion}, faults);
    read_sections(root, lecture, faults, spectrum_files);
    faults.throw_if_any();
    lecture.stage.title = text_in(lecture, lecture.title, "");
    return lecture;
}

}  // namespace

Lecture parse_lecture(const std::string& text, const std::string& file) {
    return parse(text, file, nullptr);
}

Lecture parse_lecture(const std::string& text, const std::string& file,
                      const std::map<std::string, std::string>& spectrum_files) {
    return parse(text, file, &spectrum_files);
}

Lecture read_lecture(const std::string& path) {
    return parse_lecture(read_text_file(path), path);
}

}  // namespace isoseam
