// isoseam display: what a calibrated screen can show.

#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "calibration/display_model.h"
#include "runner/command_line.h"
#include "runner/display_export_command.h"
#include "runner/display_json.h"
#include "runner/preflight.h"

namespace isoseam {
namespace {

// The values of these keys hold no information.
bool is_unknown(const Calibration& calibration, const char* key) {
    const std::vector<std::string>& unknown = calibration.unknown;
    return std::find(unknown.begin(), unknown.end(), key) != unknown.end();
}

nlohmann::json describe(const Calibration& calibration) {
    const DisplayModel display(calibration);
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    nlohmann::json primaries = nlohmann::json::array();
    for (int i = 0; i < display.primary_count(); ++i) {
        const Xyz xyz = Xyz::from_vector(display.xyz_from_linear().col(i));
        primaries.push_back({{"name", calibration.primaries[static_cast<std::size_t>(i)].name},
                             {"xyY", xyy_json(xyz)},
                             {"lms", std::vector<double>{display.lms_from_linear(observer)(0, i),
                                                         display.lms_from_linear(observer)(1, i),
                                                         display.lms_from_linear(observer)(2, i)}}});
    }
    const auto told = [&](const char* key, const nlohmann::json& value) {
        return is_unknown(calibration, key) ? nlohmann::json(nullptr) : value;
    };
    const LinearDrive full{Eigen::VectorXd::Ones(display.primary_count())};
    return {{"name", calibration.name},
            {"file", calibration.file},
            {"invented", calibration.invented},
            {"measured_on", told("measured.on", to_string(calibration.measured_on))},
            {"measured_with", calibration.measured_with},
            {"valid_until", told("valid_until", to_string(calibration.valid_until))},
            {"expired", told("valid_until", expired(calibration, today()))},
            {"resolution", told("conditions.resolution", {calibration.width_px, calibration.height_px})},
            {"refresh_hz", told("conditions.refresh", calibration.refresh_hz)},
            {"bits", told("conditions.bits", calibration.bits)},
            {"pixel_pitch_mm", told("conditions.pixel_pitch", calibration.pixel_pitch_mm)},
            {"unit", calibration.scale_known ? "W/(sr m2 nm)" : "counts"},
            {"scale_known", calibration.scale_known},
            {"additive", display.additive()},
            {"unfit", calibration.unfit},
            {"unknown", calibration.unknown},
            {"primaries", primaries},
            {"white_xyY", xyy_json(display.xyz(full))},
            {"black_xyY", xyy_json(display.black_xyz())},
            {"condition_number", display.condition_number(observer)}};
}

std::string xyy_words(const nlohmann::json& xyy) {
    if (xyy.is_null())
        return "no light";
    return fmt::format("x {:.4f}  y {:.4f}  {:9.4g} cd/m2", xyy[0].get<double>(), xyy[1].get<double>(),
                       xyy[2].get<double>());
}

std::string words(const nlohmann::json& value) {
    if (value.is_null())
        return "unknown";
    if (value.is_string())
        return value.get<std::string>();
    return fmt::format("{:g}", value.get<double>());
}

void print_described(const nlohmann::json& json) {
    fmt::print("{}{}\n", json["name"].get<std::string>(),
               json["invented"].get<bool>() ? "   (invented demo data: not for science)" : "");
    fmt::print("  measured     {} with {}\n", words(json["measured_on"]), words(json["measured_with"]));
    fmt::print("  valid until  {}{}\n", words(json["valid_until"]),
               json["expired"] == nlohmann::json(true) ? "   EXPIRED" : "");
    const nlohmann::json& resolution = json["resolution"];
    fmt::print("  screen       {} pixels of {} mm, {} Hz, {} bits\n",
               resolution.is_null() ? "unknown" : words(resolution[0]) + " x " + words(resolution[1]),
               words(json["pixel_pitch_mm"]), words(json["refresh_hz"]), words(json["bits"]));
    if (!json["scale_known"].get<bool>())
        fmt::print("  in counts: how much light they are is unknown; read cd/m2 below as counts\n");
    if (!json["additive"].get<bool>())
        fmt::print("  its primaries do not add up: the file holds their interactions\n");
    if (!json["unfit"].get<std::string>().empty())
        fmt::print("  UNFIT: {}\n", json["unfit"].get<std::string>());
    for (const nlohmann::json& primary : json["primaries"])
        fmt::print("  {:<12} {}\n", primary["name"].get<std::string>(), xyy_words(primary["xyY"]));
    fmt::print("  {:<12} {}\n  {:<12} {}\n", "white", xyy_words(json["white_xyY"]), "black",
               xyy_words(json["black_xyY"]));
}

}  // namespace

void add_display_command(CLI::App& app, CommandContext& context) {
    CLI::App* display = app.add_subcommand("display", "calibrations of screens");
    display->require_subcommand(1);
    CLI::App* show = display->add_subcommand("show", "what a calibration file says of its screen");
    auto file = std::make_shared<std::string>();
    show->add_option("file", *file, "calibration file")->required();
    finish_command(show, context, [file, &context] {
        const nlohmann::json json = describe(read_calibration(*file));
        context.json ? print_json(json) : print_described(json);
        return ExitStatus::done;
    });
    add_display_fit_command(*display, context);
    add_display_verify_command(*display, context);
    add_measure_command(display, context);
    add_display_export_command(*display, context);
}

}  // namespace isoseam
