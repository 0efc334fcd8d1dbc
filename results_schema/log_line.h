#pragma once
// One line of settings.jsonl: how it is written, chained and taken apart. The writer and the reader share
// this file.
//
//     const SealedLine line = seal_line(event, previous.checksum);
//     const std::optional<LineParts> parts = split_line(text_of_line);

#include <cstdint>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "results_schema/event.h"

namespace isoseam {

// A number that is not finite is a programmer's fault (ISOSEAM_CHECK, with the JSON pointer): JSON knows no
// infinity and no NaN, and the JSON library would write null.
void check_finite(const nlohmann::json& json);

struct SealedLine {
    std::string text;      // the line, with its line feed
    std::string checksum;  // 16 hex digits
};
// `previous` is the checksum of the line before, or for the first line the SHA-256 of session.json.
SealedLine seal_line(const Event& event, std::string_view previous);
// Does the same for an event in parts. `data` is JSON text that holds finite numbers only.
SealedLine seal_line(std::uint64_t number, double time_s, const std::string& kind, std::string_view data,
                     std::string_view previous);
// The text of an event's data for seal_line(). It holds check_finite(), with pointers that begin with /data.
std::string data_text(const nlohmann::json& data);

std::string line_checksum(std::string_view previous, std::string_view body);
// Whether line_checksum() gives `stated`.
bool checksum_fits(std::string_view previous, std::string_view body, std::string_view stated);

struct LineParts {
    std::string_view body;      // the bytes before `,"checksum"`
    std::string_view checksum;  // as the line states it
};
// The line comes without its line feed. There is no result when it does not end as a sealed line does.
std::optional<LineParts> split_line(std::string_view line);

}  // namespace isoseam
