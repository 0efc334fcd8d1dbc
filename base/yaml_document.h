#pragma once
// The one document of a YAML text. The only place where the YAML library parses.

#include <yaml-cpp/yaml.h>

#include <string>
#include <string_view>

namespace isoseam {

// Ends on any text, in a time and memory that its size bounds. InputError at once for a syntax error, for a
// text without a document or with an empty first one, and for several documents. `file` names the text in
// faults.
YAML::Node only_document(const std::string& text, const std::string& file);

// The text from one place on, both counted from 1, the column in bytes; empty when the place lies outside.
std::string_view text_from(const std::string& text, int line, int column);

}  // namespace isoseam
