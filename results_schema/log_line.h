#pragma once
// One line of settings.jsonl: how it is written, chained and taken apart. What writes and what reads share
// this file.

#include <cstdint>
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
// The same of an event in parts, its data as JSON text that holds finite numbers only.
SealedLine seal_line(std::uint64_t number, double time_s, const std::string& kind, std::string_view data,
                     std::string_view previous);
// Of data for seal_line: check_finite() and text, pointers beginning with /data.
std::string data_text(const nlohmann::json& data);

std::string line_checksum(std::string_view previous, std::string_view body);
// Whether line_checksum() is `stated`.
bool checksum_fits(std::string_view previous, std::string_view body, std::string_view stated);

struct LineParts {
    std::string_view body;      // the bytes before `,"checksum"`
    std::string_view checksum;  // as stated
};
// Nothing when the line (without its line feed) does not end as a sealed line does.
std::optional<LineParts> split_line(std::string_view line);

}  // namespace isoseam
