// isoseam display estimate: makes a calibration file without an instrument, for showing and teaching.

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/yaml_reader.h"
#include "calibration/display_estimate.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/display/display_parts.h"
#include "runner/commands/json_values.h"
#include "runner/commands/option_faults.h"
#include "runner/commands/output_option.h"
#include "runner/measuring/tone_by_eye.h"
#include "runner/screen/preflight.h"

namespace isoseam {
namespace {

// Typical spectra do not age, but a screen's settings do not stay as they are.
constexpr int kDaysOfUse = 180;
// The largest spread of the exponents of three settings by eye; the number is our own choice. A setting that
// is wrong by a code or two changes its exponent by about a tenth.
constexpr double kLargestSpread = 0.6;

struct Options {
    DisplayEstimate estimate;
    std::string panel, white, screen_width;
    OutputOption out;
    std::optional<double> exponent;
    int screen = 0;
};

DisplayEstimate read_options(const Options& options) {
    DisplayEstimate estimate = options.estimate;
    std::vector<Fault> faults;
    const auto read = [&](const char* option, const auto& parse) {
        collect_faults(faults, [&] { reading_option(option, parse); });
    };
    read("--panel", [&] { estimate.panel = parse_panel_type(options.panel); });
    read("--white",
         [&] { estimate.white_cd_m2 = parse_quantity(options.white, Dimension::luminance_cd_m2); });
    read("--screen-width",
         [&] { estimate.screen_width_mm = parse_quantity(options.screen_width, Dimension::length_mm); });
    refuse(faults);
    estimate.estimated_on = today();
    estimate.valid_until = days_later(estimate.estimated_on, kDaysOfUse);
    return estimate;
}

std::optional<ToneByEye> ask_for_tone(const Options& options) {
    VideoSystem video;
    PresenterOptions presenter_options;
    presenter_options.screen = options.screen;
    presenter_options.title = "Isoseam: tone curve by eye";
    Presenter presenter(video, presenter_options);
    return tone_by_eye(video, presenter);
}

// Refuses settings that follow no power law, or that were not made with care.
void check_agreement(const std::array<double, 3>& exponent_of_each) {
    const auto [least, most] = std::minmax_element(exponent_of_each.begin(), exponent_of_each.end());
    if (*most - *least <= kLargestSpread)
        return;
    throw InputError(Fault{
        "", 0, 0, "--tone",
        fmt::format(
            "the three patterns give exponents of {:.2f}, {:.2f} and {:.2f}: they differ by more than "
            "{:g}, so nothing was written",
            exponent_of_each[0], exponent_of_each[1], exponent_of_each[2], kLargestSpread),
        "set the patches again, each as bright as the lines around it; if that does not help, light is no "
        "power of drive on this screen, and it has to be measured"});
}

struct MadeEstimate {
    std::string file;
    DisplayEstimate estimate;
    std::optional<std::array<double, 3>> exponent_of_each;  // none: the exponent was stated
};

void print_text(const MadeEstimate& made) {
    fmt::print("{}: ESTIMATED, not measured: not for data\n", made.file);
    fmt::print("  panel        {}, invented typical spectra\n", to_string(made.estimate.panel));
    fmt::print("  white        {:g} cd/m2, as stated\n", made.estimate.white_cd_m2);
    fmt::print("  tone         light = drive ^ {:.3f}\n", made.estimate.exponent);
    if (made.exponent_of_each) {
        const std::array<double, 3>& each = *made.exponent_of_each;
        fmt::print(
            "  by pattern   {:.3f} (1/4)  {:.3f} (1/2)  {:.3f} (3/4): a power law holds as far as they "
            "agree\n",
            each[0], each[1], each[2]);
    }
    fmt::print("  valid until  {}\n", to_string(made.estimate.valid_until));
}

nlohmann::json to_json(const MadeEstimate& made) {
    return {{"file", made.file},
            {"estimated", true},
            {"panel", to_string(made.estimate.panel)},
            {"white_cd_m2", made.estimate.white_cd_m2},
            {"exponent", made.estimate.exponent},
            {"exponent_of_each", made.exponent_of_each},
            {"valid_until", to_string(made.estimate.valid_until)}};
}

ExitStatus run(const Options& options, bool as_json) {
    options.out.check();
    MadeEstimate made{options.out.path, read_options(options), {}};
    DisplayEstimate& estimate = made.estimate;
    estimate.exponent = options.exponent.value_or(estimate.exponent);
    estimate.tone_how = "exponent as stated";
    static_cast<void>(estimated_calibration(estimate));  // tells faults before anybody sets a patch
    if (!options.exponent) {
        const std::optional<ToneByEye> tone = ask_for_tone(options);
        if (!tone) {
            fmt::print(stderr, "left: nothing was written\n");
            return ExitStatus::interrupted;
        }
        check_agreement(tone->exponent_of_each);
        estimate.exponent = tone->exponent;
        estimate.tone_how = "by eye, line patterns against a uniform patch";
        made.exponent_of_each = tone->exponent_of_each;
    }
    options.out.write(estimated_calibration(estimate).text);
    as_json ? print_json(to_json(made)) : print_text(made);
    return ExitStatus::done;
}

}  // namespace

void add_display_estimate_command(Command& display) {
    const auto options = std::make_shared<Options>();
    Command* command = display.add_subcommand(
        "estimate", "a calibration file without an instrument, for teaching: estimated, not for data");
    command->add_option("--panel", options->panel, "white-led-lcd, wide-gamut-lcd or oled")->required();
    command->add_option("--white", options->white, "luminance of white, as in \"250 cd/m2\"")->required();
    command->add_option("--width", options->estimate.width_px, "pixels across")->required();
    command->add_option("--height", options->estimate.height_px, "pixels down")->required();
    command->add_option("--screen-width", options->screen_width, "of the lit area, as in \"527 mm\"")
        ->required();
    options->out.add_to(command, "the new calibration file")->required();
    options->estimate.name = "estimated screen";
    command->add_option("--name", options->estimate.name, "of the screen (estimated screen)");
    command->add_option("--refresh", options->estimate.refresh_hz, "frames per second (60)");
    command->add_option("--bits", options->estimate.bits, "of the frame buffer, 8 or 10 (8)");
    command->add_option(
        "--tone", options->exponent,
        "light = drive ^ this; without it, line patterns are shown and a person sets a patch");
    command->add_option("--screen", options->screen, "number of the screen for the patterns (0)");
    finish_command(command, options, run);
}

}  // namespace isoseam
