#pragma once
// The screens of a protocol and the half that each one lights.
#include <array>
#include <string>
#include <vector>

namespace isoseam {

struct RigSource {
    std::string name;
    // As the protocol names it, seen from the protocol's folder. Where it is empty, the command line names
    // the file.
    std::string calibration_file;
    int line = 0;
};

// Which calibrated source lights each half. Surround, fixation mark, adaptation and pages are lit by one
// source only, the reference half's (Setup::field_source), because the lights of two screens that are seen
// through each other would add.
struct Rig {
    double distance_mm = 0.0;
    std::vector<RigSource> sources;    // One or two.
    std::array<int, 2> half_source{};  // Indices into sources, by Half.
    std::array<bool, 2> mirrored{};    // By source: whether it is seen in a mirror.
};

}  // namespace isoseam
