#pragma once
// The ready protocol of matches on one screen, with twice its settings: 60 of them.

#include <fstream>
#include <iterator>
#include <string>

#include "calibration/display_model.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam::test {

inline Setup setup_from(const std::string& text, const std::string& file) {
    Protocol protocol = parse_protocol(text, file);
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

inline Setup sixty_settings() {
    const std::string file = ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml";
    std::ifstream stream(file);
    std::string text(std::istreambuf_iterator<char>(stream), {});
    const std::string six = "repeats: 6";
    for (std::size_t at = text.find(six); at != std::string::npos; at = text.find(six, at + 1))
        text.replace(at, six.size(), "repeats: 12");
    return setup_from(text, file);
}

}  // namespace isoseam::test
