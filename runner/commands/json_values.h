#pragma once
// How values are written in JSON that the JSON library does not know by itself. A value that is not there is
// null. Vectors of Eigen need nothing of this: they are written as lists.
//
//     print_json({{"age_years", report.age_years}, {"faults", report.faults}});
//     print_json({{"runs", json_list(plan.runs, run_json)}});

#include <nlohmann/json.hpp>
#include <optional>

#include "base/errors.h"

namespace nlohmann {

template <class Value>
struct adl_serializer<std::optional<Value>> {
    static void to_json(json& to, const std::optional<Value>& value) {
        to = value ? json(*value) : json(nullptr);
    }
};

}  // namespace nlohmann

namespace isoseam {

// A fault has the keys file, line, column, key, found and remedy. A line or a column that is not known is 0.
inline void to_json(nlohmann::json& to, const Fault& fault) {
    to = {{"file", fault.file}, {"line", fault.line},   {"column", fault.column},
          {"key", fault.key},   {"found", fault.found}, {"remedy", fault.remedy}};
}

// What `json_of` makes of the value.
template <class Value, class JsonOf>
nlohmann::json or_null(const std::optional<Value>& value, const JsonOf& json_of) {
    return value ? json_of(*value) : nlohmann::json(nullptr);
}

// The list of what `json_of` makes of each of the values.
template <class Values, class JsonOf>
nlohmann::json json_list(const Values& values, const JsonOf& json_of) {
    nlohmann::json list = nlohmann::json::array();
    for (const auto& value : values)
        list.push_back(json_of(value));
    return list;
}

}  // namespace isoseam
