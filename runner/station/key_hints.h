#pragma once
// The keys that count now, as they are drawn for a participant.

#include <functional>
#include <string>
#include <vector>

#include "runner/station/bindings.h"
#include "runner/station/phrases.h"
#include "runner/station/station.h"

namespace isoseam {

// What is printed on the key at this place of the keyboard ("W").
using KeyLabel = std::function<std::string(const std::string& key)>;

// One row for each thing to do. An empty label stands before the keys of the left hand where there are others
// as well.
std::vector<KeyHint> key_hints_for(const Expected& expected, KeySet keys, const Phrases& phrases,
                                   const KeyLabel& label);

}  // namespace isoseam
