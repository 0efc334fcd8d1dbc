#pragma once
// Whether the adjusted half's screen can show every level that a task, or the bracket of a flicker null, can
// ask for.

#include "base/yaml_reader.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam {

// Notes one fault for each place in the file that asks for too much. The fault is about the condition where
// the level is worst, and names the largest level that fits. Every predicted match must be in gamut.
void check_levels(const Setup& setup, FaultList& faults);

// A level in its units along the axes: "2 %", "0.001", "(1 %, 2 %)".
std::string level_text(AdjustmentSpace space, const std::vector<AdjustmentAxis>& axes, const Level& level);

}  // namespace isoseam
