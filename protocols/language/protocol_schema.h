#pragma once
// The protocol language as a JSON Schema (draft 2020-12), for editors that complete and check YAML. It knows
// the form of each value; the reader knows what they mean together.

#include <string_view>

namespace isoseam {

std::string_view protocol_schema();

}  // namespace isoseam
