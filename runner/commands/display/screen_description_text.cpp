#include <fmt/format.h>

#include <utility>

#include "runner/commands/display/screen_description.h"

namespace isoseam {
namespace {

std::string xyy_words(const Xyz& xyz) {
    if (!(xyz.y > 0.0))
        return "no light";
    const XyY xyy = xyy_from_xyz(xyz);
    return fmt::format("x {:.4f}  y {:.4f}  {:9.4g} cd/m2", xyy.chromaticity.x, xyy.chromaticity.y,
                       xyy.luminance_cd_m2);
}

std::string day_words(const ScreenDescription& screen) {
    if (is_unknown(screen.calibration, "valid_until"))
        return "unknown";
    const std::string day = to_string(screen.calibration.valid_until);
    const int left = screen.days_left;
    if (screen.expired)
        return fmt::format("{}   EXPIRED {} {} ago", day, -left, left == -1 ? "day" : "days");
    return left == 0 ? day + "   (today is the last day)"
                     : fmt::format("{}   ({} {} left)", day, left, left == 1 ? "day" : "days");
}

std::string screen_text(const ScreenDescription& screen) {
    const Calibration& calibration = screen.calibration;
    const auto told = [&](const char* key, const std::string& words) {
        return is_unknown(calibration, key) ? std::string("unknown") : words;
    };
    std::string text = fmt::format("{}{}{}\n", calibration.name,
                                   calibration.invented ? "   (invented demo data: not for science)" : "",
                                   calibration.estimated ? "   (ESTIMATED, not measured: not for data)" : "");
    text +=
        fmt::format("  measured     {} with {}\n", told("measured.on", to_string(calibration.measured_on)),
                    told("measured.with", calibration.measured_with));
    text += fmt::format("  valid until  {}\n", day_words(screen));
    text += fmt::format(
        "  screen       {} pixels of {} mm, {} Hz, {} bits\n",
        told("conditions.resolution", fmt::format("{} x {}", calibration.width_px, calibration.height_px)),
        told("conditions.pixel_pitch", fmt::format("{:g}", calibration.pixel_pitch_mm)),
        told("conditions.refresh", fmt::format("{:g}", calibration.refresh_hz)),
        told("conditions.bits", fmt::format("{}", calibration.bits)));
    if (!calibration.scale_known)
        text += "  in counts: how much light they are is unknown; read cd/m2 below as counts\n";
    if (!calibration.unfit.empty())
        text += fmt::format("  UNFIT: {}\n", calibration.unfit);
    for (const PrimaryLight& primary : screen.primaries)
        text += fmt::format("  {:<12} {}\n", primary.name, xyy_words(primary.xyz));
    text += fmt::format("  {:<12} {}\n  {:<12} {}\n", "white", xyy_words(screen.white), "black",
                        xyy_words(screen.black));
    if (!screen.additive)
        text += "  its primaries do not add up: the file holds their interactions\n";
    if (!screen.abilities)
        text += "  no drives can be computed for wanted lights, so gamut, contrasts and steps are not told\n";
    return text;
}

std::string place_words(const std::optional<Eigen::Vector2d>& at) {
    return at ? fmt::format("{:>10.4f}{:>10.4f}", at->x(), at->y()) : fmt::format("{:>10}{:>10}", "-", "-");
}

std::string gamut_row(const std::string& name, const DiagramPoint& point) {
    return fmt::format("  {:<14}{}{}\n", name, place_words(u_v_of(point)), place_words(l_s_of(point)));
}

std::string gamut_text(const DisplayGamut& gamut, const std::string& observer) {
    std::string text =
        fmt::format("\nGamut{:>21}{:>10}{:>10}{:>10}   (primaries without black)\n", "u'", "v'", "l", "s");
    for (const DiagramPoint& primary : gamut.primaries)
        text += gamut_row(primary.name, primary);
    text += gamut_row("white", gamut.white) + gamut_row("black", gamut.black);
    return text + fmt::format("  area in u'v'  {:>10.4f}     l, s: MacLeod-Boynton, {}\n",
                              gamut.uv_prime_area, observer);
}

std::string contrasts_text(const ScreenAbilities& abilities) {
    std::string text = fmt::format("\nLargest cone contrast, % of {}: {}\n", abilities.grey.text,
                                   xyy_words(abilities.grey.xyz));
    text += fmt::format("  {:<10}{:>10}{:>10}{:>10}{:>10}\n", "direction", "L", "M", "S", "length");
    for (const LargestContrast& largest : abilities.largest_contrasts) {
        // A negative zero is written without its sign.
        const Eigen::Vector3d percent = (100.0 * largest.contrast.vector()).array() + 0.0;
        text += fmt::format("  {:<10}{:>10.2f}{:>10.2f}{:>10.2f}{:>10.2f}\n",
                            (largest.sign > 0 ? "+ " : "- ") + largest.direction, percent[0], percent[1],
                            percent[2], 100.0 * largest.contrast.length());
    }
    return text + "  L+M+S: luminance at constant chromaticity. L-M: at constant luminance and S.\n";
}

std::string steps_text(const ScreenAbilities& abilities) {
    std::string text = "\nOne code there, % cone contrast, by the primary that moves the cone most\n";
    text += fmt::format("  {:<24}{:>10}{:>10}{:>10}\n", "", "L", "M", "S");
    for (const auto& [name, step] : {std::pair{"8 bits", &abilities.step_of_8_bits},
                                     {"10 bits", &abilities.step_of_10_bits},
                                     {"8 bits, dithered", &abilities.step_of_8_bits_dithered}}) {
        text += fmt::format("  {:<24}{:>10.3f}{:>10.3f}{:>10.3f}\n", name, 100.0 * step->l, 100.0 * step->m,
                            100.0 * step->s);
    }
    text += fmt::format("  {:<24}{:>10.3f}{:>10.3f}{:>10}   at best; common practice, no source\n",
                        "detection threshold", kThresholdPercent, kThresholdPercent, "-");
    return text +
           "  dithered: of the mean over a field of 2 degrees, as sessions show it unless told otherwise\n";
}

}  // namespace

std::string screen_description_text(const ScreenDescription& screen) {
    std::string text = screen_text(screen);
    if (screen.abilities) {
        text += gamut_text(screen.abilities->gamut, screen.observer);
        text += contrasts_text(*screen.abilities);
        text += steps_text(*screen.abilities);
    }
    return text;
}

}  // namespace isoseam
