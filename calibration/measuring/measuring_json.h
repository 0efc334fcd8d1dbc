#pragma once
// The lines of measurement.jsonl.

#include <nlohmann/json_fwd.hpp>

#include "calibration/measuring/measuring_log.h"

namespace isoseam {

nlohmann::json to_json(const MeasurementHeader& header);
nlohmann::json to_json(const MeasuringEvent& event, bool with_wavelengths);

// std::exception of the JSON library, or InputError, for what is not as to_json writes it.
MeasurementHeader header_from_json(const nlohmann::json& json);
// `wavelengths_nm`: of the readings before, which a reading leaves out.
MeasuringEvent event_from_json(const nlohmann::json& json, const std::vector<double>& wavelengths_nm);

}  // namespace isoseam
