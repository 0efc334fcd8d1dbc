#include "runner/commands/fault_json.h"

#include <nlohmann/json.hpp>

namespace isoseam {

nlohmann::json fault_json(const Fault& fault) {
    return {{"file", fault.file}, {"line", fault.line},   {"column", fault.column},
            {"key", fault.key},   {"found", fault.found}, {"remedy", fault.remedy}};
}

}  // namespace isoseam
