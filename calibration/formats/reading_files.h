#pragma once
// This header reads readings from any of the formats, and computes the readings that a calibration stands
// for.
//
//     const Readings readings = read_readings("readings.cgats");

#include <string>

#include "calibration/calibration.h"
#include "calibration/readings.h"

namespace isoseam {

// Reads a folder of IES TM-27 files or one file. A folder holds .spdx or .xml files, which are read in the
// order of their names; nothing else may lie in it, except hidden files. In one file, .csv is our table,
// .cgats is CGATS.17 text, and .spdx and .xml are IES TM-27. A file with another ending, such as .txt, is
// recognised by how it begins: CGATS.17 or ISO28178, "<", or otherwise our table. Throws an InputError with
// every fault and its line.
Readings read_readings(const std::string& path);

// Gives what an instrument without noise would read of the screen if the calibration were true: black, a ramp
// of each primary (at the tone response's own drives, or at 17 drives if the response is a power), and white.
// The step of each row says "calculated" ("calculated from invented data"), which stays with it through every
// format.
Readings calculated_readings(const Calibration& calibration);

}  // namespace isoseam
