#pragma once
// What is wrong with the numbers of a field, before it is laid out on pixels.

#include <vector>

#include "base/errors.h"
#include "stimuli/field.h"

namespace isoseam {

// All faults, but for a lack of room on the screen; none when the field can be laid out.
std::vector<Fault> field_faults(const FieldGeometry& geometry, const ViewingGeometry& viewing);
// One fault of a field. It names no file and no line, which only a reader knows.
Fault field_fault(const char* key, std::string found, std::string remedy);

}  // namespace isoseam
