#pragma once
// One pair of lights to be matched or told apart.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "colorimetry/light.h"
#include "protocols/procedures/adjustment.h"

namespace isoseam {

// Where the lights and directions of a condition stand in the file, as paths: "conditions[2].reference".
struct ConditionKeys {
    std::string reference{};
    std::string test{};
    std::array<std::string, 2> rings{};
    std::string along{};  // of a task
};

struct Condition {
    std::string name;
    LightSpec reference;  // light of the reference half; of a task, what a place without a target shows
    // A light of another colour to set against it: it is the predicted match at the radiance that gives it
    // the reference's luminance (V_F of the nominal observer). None: the predicted match is the reference.
    std::optional<LightSpec> test;
    int repeats = 1;  // settings; of a task, runs
    int line = 0;     // of the reference
    int column = 0;
    int block = 0;  // index
    // What positions and levels are measured along: the adjustment's axes, or of a task the directions of its
    // levels (one for each dimension, without steps and starts).
    std::vector<AdjustmentAxis> axes{};
    // Lights of the ring beside the first and the second half, instead of the protocol's.
    std::optional<std::array<LightSpec, 2>> rings{};
    ConditionKeys keys{};
};

}  // namespace isoseam
