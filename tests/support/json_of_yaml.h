#pragma once
// YAML as an editor sees it: the JSON that YAML 1.2's core schema makes of it.

#include <yaml-cpp/yaml.h>

#include <nlohmann/json.hpp>
#include <regex>
#include <string>

namespace isoseam::test {

inline nlohmann::json json_of_scalar(const YAML::Node& node) {
    const std::string& text = node.Scalar();
    if (node.Tag() == "!")  // in quotation marks
        return text;
    if (text == "true" || text == "false")
        return text == "true";
    if (std::regex_match(text, std::regex("[-+]?[0-9]+")))
        return std::stoll(text);
    if (std::regex_match(text, std::regex("[-+]?(\\.[0-9]+|[0-9]+(\\.[0-9]*)?)([eE][-+]?[0-9]+)?")))
        return std::stod(text);
    return text;
}

inline nlohmann::json json_of_yaml(const YAML::Node& node) {
    if (node.IsMap()) {
        nlohmann::json map = nlohmann::json::object();
        for (const auto& pair : node)
            map[pair.first.Scalar()] = json_of_yaml(pair.second);
        return map;
    }
    if (node.IsSequence()) {
        nlohmann::json list = nlohmann::json::array();
        for (const auto& item : node)
            list.push_back(json_of_yaml(item));
        return list;
    }
    return node.IsScalar() ? json_of_scalar(node) : nlohmann::json(nullptr);
}

}  // namespace isoseam::test
