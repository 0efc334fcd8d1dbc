#pragma once
// Reads the one document of a YAML text. The YAML library parses nowhere else.

#include <yaml-cpp/yaml.h>

#include <string>
#include <string_view>

namespace isoseam {

// The reader comes to an end on any text, within a time and a memory that the size of the text bounds. It
// throws InputError at once for a syntax error, for a text without a document or with an empty first one, and
// for several documents. `file` names the text in faults.
YAML::Node only_document(const std::string& text, const std::string& file);

// The rest of the text from one place on. Line and column count from 1, the column in bytes. The rest is
// empty when the place lies outside the text.
std::string_view text_from(const std::string& text, int line, int column);

}  // namespace isoseam
