#pragma once
// What is wrong with the numbers of a field, before it is laid out on pixels.

#include <vector>

#include "base/errors.h"
#include "stimuli/field.h"

namespace isoseam {

// All faults; none when the field can be laid out, room on the screen aside.
std::vector<Fault> field_faults(const FieldGeometry& geometry, const ViewingGeometry& viewing);
// A fault of a field, without file and place.
Fault field_fault(const char* key, std::string found, std::string remedy);

}  // namespace isoseam
