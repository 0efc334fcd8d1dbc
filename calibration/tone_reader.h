#pragma once
// Reads the tone response of one primary from a calibration file.

#include <optional>
#include <vector>

#include "base/yaml_reader.h"
#include "calibration/tone_response.h"

namespace isoseam {

struct ReadTone {
    ToneResponse response;
    std::vector<double> uncertainty;  // of each parameter, or of each point's light; may be empty
};

// Reads "{exponent: 2.2}", "{form: s-shaped, rise: ..., bend: ..., knee: ...}" or "{drive: [...], light:
// [...]}", each with or without "uncertainty: [...]". Returns nullopt if a fault was noted.
std::optional<ReadTone> read_tone(const YamlNode& tone);

}  // namespace isoseam
