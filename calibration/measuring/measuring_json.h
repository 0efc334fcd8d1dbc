#pragma once
// This header reads and writes the lines of measurement.jsonl.

#include <nlohmann/json_fwd.hpp>

#include "calibration/measuring/measuring_log.h"

namespace isoseam {

nlohmann::json to_json(const MeasurementHeader& header);
nlohmann::json to_json(const MeasuringEvent& event, bool with_wavelengths);

// Throws a std::exception of the JSON library, or an InputError, for text that to_json would not write.
MeasurementHeader header_from_json(const nlohmann::json& json);
// `wavelengths_nm` are those of the readings before. A reading leaves them out if they are the same.
MeasuringEvent event_from_json(const nlohmann::json& json, const std::vector<double>& wavelengths_nm);

}  // namespace isoseam
