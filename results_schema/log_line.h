#pragma once
// One line of settings.jsonl: how it is written, chained and taken apart. What writes and what reads share
// this file.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "results_schema/records.h"

namespace isoseam {

// JSON knows no infinity and no NaN, and the JSON library would write null: a programmer's fault
// (ISOSEAM_CHECK, with the JSON pointer).
void check_finite(const nlohmann::json& json);

struct SealedLine {
    std::string text;      // line feed included
    std::string checksum;  // 16 hex digits
};
// `previous`: checksum of the line before; for the first line the SHA-256 of session.json.
SealedLine seal_line(const Event& event, std::string_view previous);

std::string line_checksum(std::string_view previous, std::string_view body);

struct LineParts {
    std::string_view body;      // the bytes before `,"checksum"`
    std::string_view checksum;  // as stated
};
// Nothing when the line (without its line feed) does not end as a sealed line does.
std::optional<LineParts> split_line(std::string_view line);

}  // namespace isoseam
