#pragma once
// A small sound protocol on the demo screens, and variations of it.

#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "calibration/calibration.h"
#include "calibration/display_model.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam::test {

inline const std::string kDemoLcd = ISOSEAM_SOURCE_DIR "/calibration/demo/demo_lcd.yaml";
inline const std::string kDemoNarrowBand = ISOSEAM_SOURCE_DIR "/calibration/demo/demo_narrow_band.yaml";

inline const std::string kExample =
    "isoseam_protocol: 1\n"
    "title: Example\n"
    "observer: {field: 2 deg, age: 32 years}\n"
    "rig:\n"
    "  distance: 600 mm\n"
    "  sources: {lcd: " +
    kDemoLcd + ", narrow: " + kDemoNarrowBand +
    "}\n"
    "  left: lcd\n"
    "  right: narrow\n"
    "lights:\n"
    "  grey: xyY 0.31 0.33 at 30 cd/m2\n"
    "  pinkish: contrast L 4 % M -4 % from grey\n"
    "field: {shape: disc, size: 2 deg, split: vertical, surround: black}\n"
    "adjustment:\n"
    "  half: right\n"
    "  space: cone_contrast\n"
    "  axes:\n"
    "    L-M: {fine: 0.4 %, coarse: 1.5 %, start: 5 %}\n"
    "    L+M: {fine: 2 %, coarse: 6 %, start: 15 %}\n"
    "    S: {fine: 3 %, coarse: 12 %, start: 30 %}\n"
    "conditions:\n"
    "  - {name: grey, reference: grey, repeats: 5}\n"
    "  - {name: pinkish, reference: pinkish, repeats: 3}\n";

// The example with pieces replaced; every piece must be there.
inline std::string example_with(const std::vector<std::pair<std::string, std::string>>& changes) {
    std::string text = kExample;
    for (const auto& [from, to] : changes) {
        const std::size_t place = text.find(from);
        if (place == std::string::npos)
            throw std::logic_error("the example has no '" + from + "'");
        text.replace(place, from.size(), to);
    }
    return text;
}

// The example without its adjustment and conditions, and with both halves on one screen: a task or blocks can
// follow.
inline std::string example_for_tasks() {
    std::string text = example_with({{", narrow: " + kDemoNarrowBand, ""}, {"right: narrow", "right: lcd"}});
    return text.substr(0, text.find("adjustment:"));
}

inline Setup setup_of(const std::string& text, const std::string& file = "example.yaml") {
    Protocol protocol = parse_protocol(text, file);
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), std::move(calibrations));
}

}  // namespace isoseam::test
