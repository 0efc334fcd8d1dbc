#include "results_schema/log_line.h"

#include <fmt/format.h>

#include <cmath>

#include "colorimetry/errors.h"
#include "results_schema/sha256.h"

namespace isoseam {
namespace {

constexpr std::size_t kChecksumDigits = 16;
constexpr std::string_view kBeforeChecksum = R"(,"checksum":")";
constexpr std::string_view kAfterChecksum = R"("})";

void check_finite_below(const nlohmann::json& json, const nlohmann::json::json_pointer& place) {
    if (json.is_number_float()) {
        ISOSEAM_CHECK(std::isfinite(json.get<double>()),
                      fmt::format("{} = {}", place.to_string(), json.get<double>()));
    } else if (json.is_object()) {
        for (const auto& [key, value] : json.items()) {
            check_finite_below(value, place / key);
        }
    } else if (json.is_array()) {
        for (std::size_t i = 0; i < json.size(); ++i) {
            check_finite_below(json[i], place / i);
        }
    }
}

}  // namespace

void check_finite(const nlohmann::json& json) {
    check_finite_below(json, nlohmann::json::json_pointer());
}

std::string line_checksum(std::string_view previous, std::string_view body) {
    return sha256_hex(fmt::format("{}{}", previous, body)).substr(0, kChecksumDigits);
}

SealedLine seal_line(const Event& event, std::string_view previous) {
    const nlohmann::json time_s = event.time_s;
    const nlohmann::json kind = event.kind;
    check_finite({{"time_s", time_s}, {"data", event.data}});
    const std::string body = fmt::format(R"({{"number":{},"time_s":{},"event":{},"data":{})", event.number,
                                         time_s.dump(), kind.dump(), event.data.dump());
    SealedLine line;
    line.checksum = line_checksum(previous, body);
    line.text = fmt::format("{}{}{}{}\n", body, kBeforeChecksum, line.checksum, kAfterChecksum);
    return line;
}

std::optional<LineParts> split_line(std::string_view line) {
    const std::size_t tail = kBeforeChecksum.size() + kChecksumDigits + kAfterChecksum.size();
    if (line.size() <= tail || !line.ends_with(kAfterChecksum)) {
        return std::nullopt;
    }
    const std::string_view body = line.substr(0, line.size() - tail);
    if (!line.substr(body.size()).starts_with(kBeforeChecksum)) {
        return std::nullopt;
    }
    return LineParts{body, line.substr(body.size() + kBeforeChecksum.size(), kChecksumDigits)};
}

}  // namespace isoseam
