#pragma once
// What the commands of isoseam display share.

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "calibration/fit/steadiness.h"
#include "calibration/readings.h"
#include "colorimetry/colour_space.h"
#include "runner/commands/command.h"

namespace isoseam {

nlohmann::json xyy_json(const Xyz& xyz);  // [x, y, luminance]; null where there is no light
nlohmann::json limits_json(const VerificationLimits& limits);

// Adds --unit, for tables that do not name their unit.
void add_unit_option(Command* command, std::string& unit);
// Reads the table in the unit that it names. If `unit` is not empty, it is used instead.
Readings read_readings(const std::string& path, const std::string& unit);

// Tells what a measurement over time found. Times are in seconds, and lights are shares of white. A value is
// null where white did not settle, or was not watched for long enough.
nlohmann::json steadiness_json(const Steadiness& found);

}  // namespace isoseam
