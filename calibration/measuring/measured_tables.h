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

// How a remark begins that says what somebody knowingly went on with.
extern const char* const kGoneOnWith;

// What a measurement leaves to be told: drift, steps left out, readings set aside, what its readings are not
// good for. One line each.
std::vector<std::string> measurement_remarks(const MeasurementHeader& header, const MeasuringState& state);

// Writes readings.csv and, where the plan has such steps, verification.csv into `folder`, headed by comments
// that say what they are of and what is to be told. MachineError.
void write_tables(const std::string& folder, const MeasurementHeader& header, const MeasuringState& state);

}  // namespace isoseam
