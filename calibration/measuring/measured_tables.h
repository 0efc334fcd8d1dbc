#pragma once
// A finished measurement as tables of readings.

#include <string>

#include "calibration/measuring/measuring_log.h"
#include "calibration/readings.h"

namespace isoseam {

// The rows that a fit may see, and those that are kept from it to verify it. Warm-up readings and readings
// that were set aside are in neither.
Readings fit_readings(const MeasuringState& state, ReadingUnit unit);
Readings verification_readings(const MeasuringState& state, ReadingUnit unit);

// The beginning of a remark that says in spite of what somebody knowingly went on.
extern const char* const kGoneOnWith;

// What must be reported of a measurement: drift, steps left out, readings set aside, and what its readings
// are not good for. Each is one line.
std::vector<std::string> measurement_remarks(const MeasurementHeader& header, const MeasuringState& state);

// Writes readings.csv and, where the plan has such steps, verification.csv into `folder`, headed by comments
// that say what they are of and what is to be told. MachineError.
void write_tables(const std::string& folder, const MeasurementHeader& header, const MeasuringState& state);

}  // namespace isoseam
