#pragma once
// What the readers and writers of tables of readings share, whichever the format.

#include <string>
#include <vector>

#include "calibration/readings.h"

namespace isoseam {

// Gives "" if `nm` may follow `before`, and otherwise says what is wrong with it.
inline constexpr const char* kWavelengthRemedy = "give wavelengths from 100 to 5000 nm, rising";
std::string wavelength_fault(const std::vector<double>& before_nm, double nm);

// The name of a step must be able to stand in the CSV table, whichever format it comes from.
inline constexpr const char* kStepRemedy = "write a step without comma, '#', or blanks around it";
bool is_step(const std::string& text);

// This says which parts of a reading occur in at least one row of a table.
struct ReadingExtras {
    bool places = false;
    bool seconds = false;
    bool steps = false;
};
ReadingExtras extras_of(const Readings& readings);

}  // namespace isoseam
