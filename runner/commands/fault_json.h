#pragma once
// A fault as every command writes it in JSON.
//
//     for (const Fault& fault : error.faults())
//         json["faults"].push_back(fault_json(fault));

#include <nlohmann/json_fwd.hpp>

#include "base/errors.h"

namespace isoseam {

// Its keys are file, line, column, key, found and remedy. A line or a column that is not known is 0.
nlohmann::json fault_json(const Fault& fault);

}  // namespace isoseam
