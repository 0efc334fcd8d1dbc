#pragma once
// A small sound lecture on a demo screen, and variations of it.

#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "protocols/lectures/lecture_setup.h"

namespace isoseam::test {

inline const std::string kLectureLcd = ISOSEAM_SOURCE_DIR "/calibration/demo/demo_lcd.yaml";
inline const std::string kLectureNarrowBand = ISOSEAM_SOURCE_DIR "/calibration/demo/demo_narrow_band.yaml";

inline const std::string kExampleLecture =
    "isoseam_lecture: 1\n"
    "title: {en: Example, de: Beispiel}\n"
    "languages: [en, de]\n"
    "observer: {field: 10 deg, age: 32 years}\n"
    "rig:\n"
    "  distance: 600 mm\n"
    "  sources: {screen: " +
    kLectureLcd +
    "}\n"
    "  left: screen\n"
    "  right: screen\n"
    "lights:\n"
    "  grey: xyY 0.31 0.33 at 20 cd/m2\n"
    "  pinkish: contrast L 6 % M -6 % from grey\n"
    "  violet: contrast S 60 % from grey\n"
    "field: {shape: square, size: 10 deg, split: vertical, surround: black}\n"
    "scenes:\n"
    "  - name: welcome\n"
    "    card: {heading: {en: Hello, de: Hallo}, text: {en: [one, two], de: [eins, zwei]}}\n"
    "  - name: look\n"
    "    field: {left: grey, right: violet, caption: {en: Look, de: Schau}}\n"
    "    say: just look\n"
    "    notes: [take your time]\n"
    "  - name: guess\n"
    "    question: {ask: {en: Which one, de: Welches}, choices: [{en: first, de: erstes}, second, third], "
    "right: 2}\n"
    "    field: {left: grey, right: pinkish}\n"
    "  - name: how_wide\n"
    "    slider: {ask: how wide, low: narrow, high: wide, start: 0.25}\n"
    "  - name: find\n"
    "    steer:\n"
    "      half: right\n"
    "      mix: [pinkish, violet]\n"
    "      sliders:\n"
    "        - {controls: share, ask: mix it, low: pinkish, high: violet, start: 0.2}\n"
    "        - {controls: amount, ask: brightness, low: dim, high: bright, from: 0.5, to: 1.5, start: 1}\n"
    "    field: {left: grey}\n"
    "  - name: why\n"
    "    reveal: {heading: why, of: find}\n"
    "  - name: lines\n"
    "    reveal:\n"
    "      heading: two lines\n"
    "      text: they differ\n"
    "      lights: [monochromatic 500 nm at 5 cd/m2, monochromatic 600 nm at 5 cd/m2]\n"
    "      cones: [L, M]\n"
    "      spectra: described\n"
    "closing: bye\n";

// The example with pieces replaced; every piece must be there.
inline std::string lecture_with(const std::vector<std::pair<std::string, std::string>>& changes) {
    std::string text = kExampleLecture;
    for (const auto& [from, to] : changes) {
        const std::size_t place = text.find(from);
        if (place == std::string::npos)
            throw std::logic_error("the example has no '" + from + "'");
        text.replace(place, from.size(), to);
    }
    return text;
}

inline LectureSetup lecture_setup_of(const std::string& text, const std::string& file = "example.yaml") {
    Lecture lecture = parse_lecture(text, file);
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(lecture.stage, {}))
        calibrations.push_back(read_calibration(path));
    return {std::move(lecture), calibrations};
}

}  // namespace isoseam::test
