#pragma once
// The screens of a protocol and the half that each one lights.
#include <array>
#include <string>
#include <vector>

namespace isoseam {

struct RigSource {
    std::string name;
    std::string calibration_file;  // from the protocol, resolved against its folder; may be empty (then the
                                   // command line)
    int line = 0;
};

// Which calibrated source lights each half. Surround, fixation mark, adaptation and pages are lit by one
// source only, the reference half's (Setup::field_source): where two screens are seen through each other
// their lights would add.
struct Rig {
    double distance_mm = 0.0;
    std::vector<RigSource> sources;    // one or two
    std::array<int, 2> half_source{};  // index into sources, by Half
    std::array<bool, 2> mirrored{};    // by source: seen in a mirror
};

}  // namespace isoseam
