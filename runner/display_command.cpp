// isoseam display: what a calibrated screen can show.

#include <fmt/format.h>

#include <memory>

#include "calibration/display_model.h"
#include "runner/command_line.h"
#include "runner/preflight.h"

namespace isoseam {
namespace {

nlohmann::json xyy_json(const Xyz& xyz) {
    if (!(xyz.y > 0.0))
        return nullptr;
    const XyY xyy = xyy_from_xyz(xyz);
    return {xyy.chromaticity.x, xyy.chromaticity.y, xyy.luminance_cd_m2};
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
    const LinearDrive full{Eigen::VectorXd::Ones(display.primary_count())};
    return {{"name", calibration.name},
            {"file", calibration.file},
            {"invented", calibration.invented},
            {"measured_on", to_string(calibration.measured_on)},
            {"measured_with", calibration.measured_with},
            {"valid_until", to_string(calibration.valid_until)},
            {"expired", expired(calibration, today())},
            {"resolution", {calibration.width_px, calibration.height_px}},
            {"refresh_hz", calibration.refresh_hz},
            {"bits", calibration.bits},
            {"pixel_pitch_mm", calibration.pixel_pitch_mm},
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

void print_described(const nlohmann::json& json) {
    fmt::print("{}{}\n", json["name"].get<std::string>(),
               json["invented"].get<bool>() ? "   (invented demo data: not for science)" : "");
    fmt::print("  measured     {} with {}\n", json["measured_on"].get<std::string>(),
               json["measured_with"].get<std::string>());
    fmt::print("  valid until  {}{}\n", json["valid_until"].get<std::string>(),
               json["expired"].get<bool>() ? "   EXPIRED" : "");
    fmt::print("  screen       {} x {} pixels of {:g} mm, {:g} Hz, {} bits\n",
               json["resolution"][0].get<int>(), json["resolution"][1].get<int>(),
               json["pixel_pitch_mm"].get<double>(), json["refresh_hz"].get<double>(),
               json["bits"].get<int>());
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
}

}  // namespace isoseam
