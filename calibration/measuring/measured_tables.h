#pragma once
// This header turns a finished measurement into tables of readings.

#include <string>

#include "calibration/measuring/measuring_log.h"
#include "calibration/readings.h"

namespace isoseam {

// These are the rows that a fit may use, and the rows that are kept from it to verify it. Warm-up readings
// and readings that were set aside are in neither.
Readings fit_readings(const MeasuringState& state, ReadingUnit unit);
Readings verification_readings(const MeasuringState& state, ReadingUnit unit);

// A remark begins with these words if somebody knowingly continued in spite of something.
extern const char* const kGoneOnWith;

// Gives what must be reported of a measurement: drift, steps left out, readings set aside, and what its
// readings are not good for. Each is one line.
std::vector<std::string> measurement_remarks(const MeasurementHeader& header, const MeasuringState& state);

// Writes readings.csv and, if the plan has such steps, verification.csv into `folder`. Comments at the head
// say what the readings are of and what must be reported. Throws a MachineError if the files cannot be
// written.
void write_tables(const std::string& folder, const MeasurementHeader& header, const MeasuringState& state);

}  // namespace isoseam
