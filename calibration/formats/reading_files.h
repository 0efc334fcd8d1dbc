#pragma once
// Readings from any of the formats, and readings that a calibration stands for.
//
//     const Readings readings = read_readings("readings.cgats");

#include <string>

#include "calibration/calibration.h"
#include "calibration/readings.h"

namespace isoseam {

// A folder of IES TM-27 files (.spdx or .xml, in the order of their names; nothing else may lie in it, hidden
// files apart), or one file: .csv is our table, .cgats is CGATS.17 text, .spdx and .xml are IES TM-27; what
// has another name, .txt say, is told by how it begins: CGATS.17 or ISO28178, "<", or else our table. Throws
// InputError with every fault and its line.
Readings read_readings(const std::string& path);

// What an instrument without noise would read of the screen if the calibration were true: black, a ramp of
// each primary (the tone response's own drives, or 17 where it is a power), white. Each row's step says
// "calculated" ("calculated from invented data"), which stays with it through every format.
Readings calculated_readings(const Calibration& calibration);

}  // namespace isoseam
