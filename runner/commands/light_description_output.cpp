#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <vector>

#include "runner/commands/json_values.h"
#include "runner/commands/light_description.h"

namespace isoseam {
namespace {

void add_colour(const LightColour& colour, nlohmann::json& json) {
    json["uv_prime"] = nullptr;
    if (colour.uv_prime)
        json["uv_prime"] = {colour.uv_prime->u_prime, colour.uv_prime->v_prime};
    json["xyz_1964_10deg"] = colour.xyz_1964_10deg.vector();
    json["xyz_2015_2deg"] = colour.xyz_2015_2deg.vector();
    json["xyz_2015_10deg"] = colour.xyz_2015_10deg.vector();
    json["cielab"] = colour.lab ? nlohmann::json(colour.lab->vector()) : nlohmann::json(nullptr);
}

void add_drive(const LightDrive& drive, nlohmann::json& json) {
    json["drive_linear"] = drive.solution.linear.fractions;
    json["in_gamut"] = drive.solution.in_gamut;
    json["gamut_margin"] = drive.solution.gamut_margin;
    json["bits"] = drive.bits;
    json["drive"] =
        or_null(drive.drive, [](const Drive& values) { return nlohmann::json(values.fractions); });
    json["drive_code"] =
        or_null(drive.code, [](const DriveCode& code) { return nlohmann::json(code.values); });
}

template <class Values>
std::string numbers(const Values& values) {
    std::string text;
    for (const auto value : values)
        text += fmt::format("{:>12.6g}", static_cast<double>(value));
    return text;
}

std::string drive_text(const LightDrive& drive) {
    std::string text =
        fmt::format("  linear drive                {}\n", numbers(drive.solution.linear.fractions));
    if (drive.code)
        text += fmt::format("  codes ({} bits)              {}\n", drive.bits, numbers(drive.code->values));
    return text + fmt::format("  {} the screen's gamut, margin {:.4g}\n",
                              drive.solution.in_gamut ? "inside" : "OUTSIDE", drive.solution.gamut_margin);
}

}  // namespace

nlohmann::json to_json(const DescribedLight& light) {
    nlohmann::json json{{"light", light.text},
                        {"observer", light.observer},
                        {"lms", light.light.lms.vector()},
                        {"xyz", light.xyz.vector()},
                        {"luminance_cd_m2", light.xyz.y},
                        {"luminance_cie170_cd_m2", light.luminance_cie170_cd_m2},
                        {"xyY", nullptr},
                        {"macleod_boynton", nullptr},
                        {"spectrum_is_assumed", light.light.spectrum_is_assumed},
                        {"unseen_share", light.unseen_share}};
    if (light.xyy)
        json["xyY"] = {light.xyy->chromaticity.x, light.xyy->chromaticity.y, light.xyy->luminance_cd_m2};
    if (const auto& mb = light.macleod_boynton)
        json["macleod_boynton"] = {{"l", mb->l}, {"m", mb->m()}, {"s", mb->s}};
    if (light.colour)
        add_colour(*light.colour, json);
    if (light.drive)
        add_drive(*light.drive, json);
    return json;
}

std::string described_light_text(const DescribedLight& light) {
    std::string text = fmt::format("{}\n", light.text);
    text += fmt::format("  observer                    {}\n", light.observer);
    text += fmt::format("  cone excitations L M S      {}   W/(sr m2)\n", numbers(light.light.lms.vector()));
    if (const auto& mb = light.macleod_boynton)
        text += fmt::format("  MacLeod-Boynton l m s       {}   CIE 170-2\n",
                            numbers(Eigen::Vector3d(mb->l, mb->m(), mb->s)));
    text +=
        fmt::format("  XYZ                         {}   CIE 1931, Y in cd/m2\n", numbers(light.xyz.vector()));
    if (const auto& xyy = light.xyy)
        text += fmt::format(
            "  x y Y                       {}   CIE 1931\n",
            numbers(Eigen::Vector3d(xyy->chromaticity.x, xyy->chromaticity.y, xyy->luminance_cd_m2)));
    if (light.colour && light.colour->uv_prime)
        text += fmt::format(
            "  u' v'                       {}   CIE 1976\n",
            numbers(Eigen::Vector2d(light.colour->uv_prime->u_prime, light.colour->uv_prime->v_prime)));
    if (light.colour && light.colour->lab)
        text +=
            fmt::format("  L* a* b*                    {}   CIELAB\n", numbers(light.colour->lab->vector()));
    text += fmt::format(
        "  luminance                   {:>12.6g}   cd/m2 by CIE 1931;  {:.6g} cd/m2 by the observer's V_F\n",
        light.xyz.y, light.luminance_cie170_cd_m2);
    if (light.light.spectrum_is_assumed)
        text += "  its spectrum is assumed: three numbers do not fix one; name a screen with --display\n";
    if (light.unseen_share > 1e-4)
        text += fmt::format(
            "  {:.2g} % of a cone's sensitivity lies outside the spectrum's range: nothing is known there\n",
            100.0 * light.unseen_share);
    return light.drive ? text + drive_text(*light.drive) : text;
}

}  // namespace isoseam
