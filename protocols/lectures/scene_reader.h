#pragma once
// The part of the lecture reader that reads scenes.

#include "protocols/language/reader_parts.h"
#include "protocols/lectures/lecture.h"

namespace isoseam {

void read_scenes(const YamlNode& node, ProtocolReading& reading, Lecture& lecture);

// Notes a fault for each key of a map that is not listed. The fault of `flicker` says why lectures have none.
void only_keys_without_flicker(const YamlNode& node, std::vector<std::string> known);

}  // namespace isoseam
