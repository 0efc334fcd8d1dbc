#include "results_schema/log_line.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/errors.h"
#include "results_schema/sha256.h"

namespace isoseam {
namespace {

constexpr std::size_t kChecksumDigits = 16;
constexpr std::string_view kBeforeChecksum = R"(,"checksum":")";
constexpr std::string_view kAfterChecksum = R"("})";

bool all_finite(const nlohmann::json& json) {
    if (json.is_number_float())
        return std::isfinite(json.get<double>());
    const auto value_finite = [](const auto& member) { return all_finite(member.second); };
    if (const auto* object = json.get_ptr<const nlohmann::json::object_t*>())
        return std::all_of(object->begin(), object->end(), value_finite);
    if (const auto* array = json.get_ptr<const nlohmann::json::array_t*>())
        return std::all_of(array->begin(), array->end(), all_finite);
    return true;
}

// Throws at the first number that is not finite.
void name_not_finite(const nlohmann::json& json, const nlohmann::json::json_pointer& place) {
    if (json.is_number_float()) {
        ISOSEAM_CHECK(std::isfinite(json.get<double>()),
                      fmt::format("{} = {}", place.to_string(), json.get<double>()));
    } else if (json.is_object()) {
        for (const auto& [key, value] : json.items()) {
            name_not_finite(value, place / key);
        }
    } else if (json.is_array()) {
        for (std::size_t i = 0; i < json.size(); ++i) {
            name_not_finite(json[i], place / i);
        }
    }
}

void check_finite_at(const char* place, const nlohmann::json& json) {
    if (!all_finite(json))
        name_not_finite(json, nlohmann::json::json_pointer(place));
}

}  // namespace

void check_finite(const nlohmann::json& json) {
    check_finite_at("", json);
}

std::string line_checksum(std::string_view previous, std::string_view body) {
    const Sha256Hex digits = sha256_digits(previous, body);
    return {digits.data(), kChecksumDigits};
}

bool checksum_fits(std::string_view previous, std::string_view body, std::string_view stated) {
    const Sha256Hex digits = sha256_digits(previous, body);
    return std::string_view(digits.data(), kChecksumDigits) == stated;
}

SealedLine seal_line(const Event& event, std::string_view previous) {
    return seal_line(event.number, event.time_s, event.kind, data_text(event.data), previous);
}

std::string data_text(const nlohmann::json& data) {
    check_finite_at("/data", data);
    return data.dump();
}

SealedLine seal_line(std::uint64_t number, double time_s, const std::string& kind, std::string_view data,
                     std::string_view previous) {
    const nlohmann::json time = time_s;
    check_finite_at("/time_s", time);
    const std::string body = fmt::format(R"({{"number":{},"time_s":{},"event":{},"data":{})", number,
                                         time.dump(), nlohmann::json(kind).dump(), data);
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
