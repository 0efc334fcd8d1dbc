#include "runner/commands/display/display_parts.h"

#include <chrono>
#include <nlohmann/json.hpp>

#include "base/yaml_reader.h"
#include "calibration/formats/reading_files.h"
#include "runner/commands/command_words.h"
#include "runner/commands/json_values.h"

namespace isoseam {

nlohmann::json xyy_json(const Xyz& xyz) {
    if (!(xyz.y > 0.0))
        return nullptr;
    const XyY xyy = xyy_from_xyz(xyz);
    return {xyy.chromaticity.x, xyy.chromaticity.y, xyy.luminance_cd_m2};
}

nlohmann::json limits_json(const VerificationLimits& limits) {
    return {{"mean_de2000", limits.mean_de2000},
            {"max_de2000", limits.max_de2000},
            {"cone_contrast_error_percent", limits.cone_contrast_error_percent}};
}

void add_unit_option(Command* command, std::string& unit) {
    command->add_option("--unit", unit, "of the readings (as the table says; counts if it does not)")
        ->check(one_of({"counts", "W/(sr m2 nm)"}));
}

Readings read_readings(const std::string& path, const std::string& unit) {
    Readings readings = read_readings(path);
    if (!unit.empty())
        readings.unit = unit == "counts" ? ReadingUnit::counts : ReadingUnit::w_sr_m2_nm;
    return readings;
}

namespace {

nlohmann::json change_json(const ChangeOfLight& change) {
    return {{"change", change.share}, {"standard_error", change.standard_error}};
}

}  // namespace

nlohmann::json steadiness_json(const Steadiness& found) {
    const auto colour_json = [](const Steadiness::Colour& colour) {
        return nlohmann::json{{"drive", colour.drive.fractions}, {"change", colour.change}};
    };
    nlohmann::json json{{"watched_s", found.watched_s},
                        {"settled_per_min", found.settled_per_min},
                        {"long_enough", found.long_enough},
                        {"settled_after_s", found.settled_at_s},
                        {"white_scatter", found.scatter},
                        {"per_min_at_last", change_json(found.per_min_at_last)},
                        {"black", nullptr},
                        {"colours", json_list(found.colours, colour_json)},
                        {"words", steadiness_words(found)}};
    if (found.settled_at_s) {
        json["excess_at_first"] = found.excess_at_first;
        json["per_hour_then"] = change_json(found.per_hour);
    }
    if (found.blacks > 0)
        json["black"] = {{"readings", found.blacks},
                         {"mean", found.black},
                         {"least", found.least_black},
                         {"most", found.most_black}};
    return json;
}

}  // namespace isoseam
