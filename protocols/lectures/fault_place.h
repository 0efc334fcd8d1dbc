#pragma once
// A fault at what the reader kept the place of.

#include <string>
#include <utility>

#include "protocols/language/protocol.h"

namespace isoseam {

// `key` is a path of stage.places. The line is 0 where the reader kept no such place.
inline Fault fault_in_lecture(const Protocol& stage, const std::string& key, std::string found,
                              std::string remedy) {
    const auto known = stage.places.find(key);
    const Place place = known == stage.places.end() ? Place{} : known->second;
    return {stage.file, place.line, place.column, key, std::move(found), std::move(remedy)};
}

}  // namespace isoseam
