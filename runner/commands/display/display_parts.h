#pragma once
// What the commands of isoseam display share.

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "calibration/fit/steadiness.h"
#include "calibration/readings.h"
#include "colorimetry/colour_space.h"
#include "runner/commands/command.h"

namespace isoseam {

nlohmann::json xyy_json(const Xyz& xyz);  // [x, y, luminance]; null without light
nlohmann::json limits_json(const VerificationLimits& limits);

// --unit, for tables that do not name theirs.
void add_unit_option(Command* command, std::string& unit);
// The table, in the unit that it names, or in `unit` if that is not empty.
Readings read_readings(const std::string& path, const std::string& unit);

// What a measurement over time found. Times in seconds, lights as shares of white; null where white did not
// settle, or was not watched for long enough.
nlohmann::json steadiness_json(const Steadiness& found);

}  // namespace isoseam
