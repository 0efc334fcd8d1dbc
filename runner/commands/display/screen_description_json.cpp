#include <nlohmann/json.hpp>

#include "runner/commands/display/display_parts.h"
#include "runner/commands/display/screen_description.h"
#include "runner/commands/json_values.h"

namespace isoseam {
namespace {

nlohmann::json gamut_json(const DisplayGamut& gamut) {
    const auto diagram = [&](const auto& coordinates) {
        const auto primary_json = [&](const DiagramPoint& primary) {
            return nlohmann::json{{"name", primary.name}, {"at", coordinates(primary)}};
        };
        return nlohmann::json{{"primaries", json_list(gamut.primaries, primary_json)},
                              {"white", coordinates(gamut.white)},
                              {"black", coordinates(gamut.black)}};
    };
    nlohmann::json json{{"macleod_boynton", diagram(l_s_of)}, {"uv_prime", diagram(u_v_of)}};
    json["uv_prime"]["area"] = gamut.uv_prime_area;
    return json;
}

nlohmann::json grey_json(const GreyBackground& grey) {
    return {{"light", grey.text},
            {"xyY", xyy_json(grey.xyz)},
            {"lms", grey.lms.vector()},
            {"drive_linear", grey.linear.fractions}};
}

nlohmann::json largest_contrast_json(const LargestContrast& largest) {
    return {{"direction", largest.direction},
            {"sign", largest.sign > 0 ? "+" : "-"},
            {"contrast_percent", Eigen::Vector3d(100.0 * largest.contrast.vector())},
            {"length_percent", 100.0 * largest.contrast.length()}};
}

nlohmann::json step_json(const ScreenAbilities& abilities) {
    const auto percent = [](const ConeContrast& step) {
        return nlohmann::json{{"L", 100.0 * step.l}, {"M", 100.0 * step.m}, {"S", 100.0 * step.s}};
    };
    return {{"8_bits", percent(abilities.step_of_8_bits)},
            {"10_bits", percent(abilities.step_of_10_bits)},
            {"8_bits_dithered", percent(abilities.step_of_8_bits_dithered)},
            {"threshold", {{"L", kThresholdPercent}, {"M", kThresholdPercent}}}};
}

nlohmann::json primary_json(const PrimaryLight& primary) {
    return {{"name", primary.name}, {"xyY", xyy_json(primary.xyz)}, {"lms", primary.lms.vector()}};
}

}  // namespace

nlohmann::json to_json(const ScreenDescription& screen) {
    const Calibration& calibration = screen.calibration;
    const auto told = [&](const char* key, const nlohmann::json& value) {
        return is_unknown(calibration, key) ? nlohmann::json(nullptr) : value;
    };
    nlohmann::json json{
        {"name", calibration.name},
        {"file", calibration.file},
        {"invented", calibration.invented},
        {"estimated", calibration.estimated},
        {"measured_on", told("measured.on", to_string(calibration.measured_on))},
        {"measured_with", told("measured.with", calibration.measured_with)},
        {"valid_until", told("valid_until", to_string(calibration.valid_until))},
        {"expired", told("valid_until", screen.expired)},
        {"days_left", told("valid_until", screen.days_left)},
        {"resolution", told("conditions.resolution", {calibration.width_px, calibration.height_px})},
        {"refresh_hz", told("conditions.refresh", calibration.refresh_hz)},
        {"bits", told("conditions.bits", calibration.bits)},
        {"pixel_pitch_mm", told("conditions.pixel_pitch", calibration.pixel_pitch_mm)},
        {"unit", calibration.scale_known ? "W/(sr m2 nm)" : "counts"},
        {"scale_known", calibration.scale_known},
        {"additive", screen.additive},
        {"unfit", calibration.unfit},
        {"unknown", calibration.unknown},
        {"primaries", json_list(screen.primaries, primary_json)},
        {"white_xyY", xyy_json(screen.white)},
        {"black_xyY", xyy_json(screen.black)},
        {"condition_number", screen.condition_number},
        {"observer", screen.observer}};
    if (screen.abilities) {
        json["gamut"] = gamut_json(screen.abilities->gamut);
        json["grey"] = grey_json(screen.abilities->grey);
        json["largest_contrast"] = json_list(screen.abilities->largest_contrasts, largest_contrast_json);
        json["step_percent"] = step_json(*screen.abilities);
    }
    return json;
}

}  // namespace isoseam
