#pragma once
// These functions write what all summaries have in their JSON. A figure that is not defined is null.

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

namespace isoseam {

template <class Value, class Json>
nlohmann::json or_null(const std::optional<Value>& value, const Json& json) {
    return value ? json(*value) : nlohmann::json();
}
template <class Value>
nlohmann::json or_null(const std::optional<Value>& value) {
    return or_null(value, [](const Value& one) { return nlohmann::json(one); });
}
inline nlohmann::json finite_or_null(double value) {
    return std::isfinite(value) ? nlohmann::json(value) : nlohmann::json();
}
inline nlohmann::json text_or_null(const std::string& text) {
    return text.empty() ? nlohmann::json() : nlohmann::json(text);
}

// Gives the array of what `json` makes of each.
template <class List, class Json>
nlohmann::json list_json(const List& list, const Json& json) {
    nlohmann::json all = nlohmann::json::array();
    for (const auto& one : list)
        all.push_back(json(one));
    return all;
}

}  // namespace isoseam
