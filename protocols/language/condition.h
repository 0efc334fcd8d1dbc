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
    std::string along{};  // For a task.
};

struct Condition {
    std::string name;
    // The light of the reference half. In a task it is what a place without a target shows.
    LightSpec reference;
    // A light of another colour to set against the reference. The predicted match is this light at the
    // radiance that gives it the reference's luminance (V_F of the nominal observer). None: the predicted
    // match is the reference.
    std::optional<LightSpec> test;
    int repeats = 1;  // The number of settings, or of runs of a task.
    int line = 0;     // The reference's line in the file.
    int column = 0;
    int block = 0;  // An index.
    // Positions and levels are measured along these: the axes of an adjustment, or the directions of a task's
    // levels (one for each dimension, without steps and starts).
    std::vector<AdjustmentAxis> axes{};
    // The lights of the ring beside the first and the second half. They replace the protocol's ring.
    std::optional<std::array<LightSpec, 2>> rings{};
    ConditionKeys keys{};
};

}  // namespace isoseam
