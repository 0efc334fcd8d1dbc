#pragma once
// A fault at what the reader kept the place of.

#include <string>
#include <utility>

#include "protocols/language/protocol.h"

namespace isoseam {

// `key`: a path of stage.places; line 0 where there is none.
inline Fault fault_in_lecture(const Protocol& stage, const std::string& key, std::string found,
                              std::string remedy) {
    const auto known = stage.places.find(key);
    const Place place = known == stage.places.end() ? Place{} : known->second;
    return {stage.file, place.line, place.column, key, std::move(found), std::move(remedy)};
}

}  // namespace isoseam
