// isoseam display fit: makes a calibration file from a table of readings.

#include <fmt/format.h>

#include <charconv>
#include <memory>
#include <nlohmann/json.hpp>

#include "base/quantity.h"
#include "base/yaml_reader.h"
#include "calibration/fit/screen_fit.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/display/display_parts.h"
#include "runner/commands/json_values.h"
#include "runner/commands/option_faults.h"
#include "runner/commands/output_option.h"

namespace isoseam {
namespace {

using nlohmann::json;

// The words as they were typed; an empty word was not given.
struct Options {
    std::string readings, unit, white_luminance;
    std::string name, serial, panel, on, with, how, warm_up, valid_until, resolution, refresh, pixel_pitch;
    int bits = 0;
    int days_valid = 0;
    int replicates = 200;
    std::uint64_t seed = 1;
    bool invented = false;
    OutputOption out;
};

// Reads a value from the command line by `parse`. An InputError names the option.
template <class Parse>
auto given(const std::string& text, const char* option, std::vector<Fault>& faults, Parse parse) {
    std::optional<decltype(parse(std::string_view{}))> value;
    if (!text.empty()) {
        collect_faults(
            faults, [&] { value = reading_option(option, [&] { return parse(std::string_view(text)); }); });
    }
    return value;
}

auto quantity_of(Dimension dimension) {
    return [dimension](std::string_view text) { return parse_quantity(text, dimension); };
}

std::optional<std::string> told(const std::string& text) {
    return text.empty() ? std::nullopt : std::optional(text);
}

// `table` is what the readings themselves tell.
ScreenDetails details_of(const Options& options, const ScreenDetails& table, std::vector<Fault>& faults) {
    ScreenDetails details;
    details.name = told(options.name);
    details.serial = options.serial;
    details.panel = options.panel;
    details.measured_on = given(options.on, "--measured-on", faults, parse_day);
    details.measured_with = told(options.with);
    details.measured_how = options.how;
    details.warm_up_s = given(options.warm_up, "--warm-up", faults, quantity_of(Dimension::duration_s));
    const std::optional<Day> measured_on = details.measured_on ? details.measured_on : table.measured_on;
    details.valid_until = given(options.valid_until, "--valid-until", faults, parse_day);
    if (options.days_valid > 0) {
        if (details.valid_until) {
            faults.push_back(
                {"", 0, 0, "--days-valid", "both a number of days and a last day", "give one of them"});
        } else if (!measured_on) {
            faults.push_back({"", 0, 0, "--days-valid", "days from an unknown day",
                              "say when the screen was measured: --measured-on 2026-11-20"});
        } else {
            details.valid_until = days_later(*measured_on, options.days_valid);
        }
    }
    if (measured_on && details.valid_until && *measured_on > *details.valid_until)
        faults.push_back(
            {"", 0, 0, "--valid-until", "lies before the day of measuring", "correct one of the days"});
    if (const auto size = given(options.resolution, "--resolution", faults, parse_resolution)) {
        details.width_px = size->first;
        details.height_px = size->second;
    }
    details.refresh_hz = given(options.refresh, "--refresh", faults, quantity_of(Dimension::frequency_hz));
    details.pixel_pitch_mm =
        given(options.pixel_pitch, "--pixel-pitch", faults, quantity_of(Dimension::length_mm));
    if (options.bits != 0)
        details.bits = options.bits;
    details.invented = options.invented;
    return details;
}

json tone_candidate_json(const ToneCandidate& candidate) {
    return {{"form", to_string(candidate.form)},
            {"score", candidate.score},
            {"why_untested", candidate.why_untested}};
}

json primary_json(const ScreenFit& fit, std::size_t index) {
    const Primary& primary = fit.calibration.primaries[index];
    json tone{{"form", to_string(primary.tone.form())}, {"uncertainty", primary.tone_uncertainty}};
    const std::vector<std::string>& names = tone_parameter_names(primary.tone.form());
    for (std::size_t i = 0; i < names.size(); ++i)
        tone[names[i]] = primary.tone.parameters()[i];
    if (primary.tone.form() == ToneForm::points) {
        tone["drive"] = primary.tone.drives();
        tone["light"] = primary.tone.linears();
    }
    tone["candidates"] = json_list(fit.tones[index], tone_candidate_json);
    const Xyz xyz = tristimulus(primary.spectrum);
    const Eigen::VectorXd xyz_sd = fit.uncertainty.primaries_xyz.col(static_cast<Eigen::Index>(index));
    return {{"name", primary.name},
            {"xyY", xyy_json(xyz)},
            {"xyz", xyz.vector()},
            {"xyz_uncertainty", xyz_sd},
            {"tone", tone}};
}

json interaction_json(const InteractionCandidate& candidate) {
    return {{"terms", candidate.name}, {"score", candidate.score}, {"why_untested", candidate.why_untested}};
}

json tests_json(const ScreenFit& fit) {
    json tests = json::object();
    for (const ScreenTest& test : fit.tests) {
        tests[test.name] = {{"value", test.value},
                            {"unit", test.unit},
                            {"limit", test.limit},
                            {"passed", test.value ? json(test.passed()) : json(nullptr)},
                            {"words", test.words}};
    }
    return tests;
}

json fit_json(const ScreenFit& fit, const std::string& out) {
    json primaries = json::array();
    for (std::size_t i = 0; i < fit.calibration.primaries.size(); ++i)
        primaries.push_back(primary_json(fit, i));
    return {
        {"file", out},
        {"unit", fit.calibration.scale_known ? "W/(sr m2 nm)" : "counts"},
        {"scale_known", fit.calibration.scale_known},
        {"additive", fit.tests.front().value ? json(fit.additive) : json(nullptr)},
        {"fit_for_use", fit.calibration.unfit.empty()},
        {"unfit", fit.calibration.unfit},
        {"unknown", fit.calibration.unknown},
        {"primaries", primaries},
        {"white_xyY", xyy_json(fit.white)},
        {"white_xyz", fit.white.vector()},
        {"white_xyz_uncertainty", fit.uncertainty.white_xyz},
        {"black_xyY", xyy_json(tristimulus(fit.calibration.black))},
        {"noise",
         {{"black_rms", fit.black_noise}, {"share_of_light", fit.noise_share}, {"factor", fit.gain_noise}}},
        {"interactions",
         {{"used", fit.interaction},
          {"candidates", json_list(fit.interactions, interaction_json)},
          {"contraction", fit.contraction}}},
        {"tests", tests_json(fit)},
        {"limits", limits_json(*fit.calibration.limits)},
        {"bootstrap_replicates", fit.uncertainty.replicates},
        {"remarks", fit.remarks}};
}

std::string score_words(const std::optional<double>& score, const std::string& why_untested) {
    return score ? fmt::format("{:.4f}", *score) : "not tested: " + why_untested;
}

void print_fit(const ScreenFit& fit, const std::string& out) {
    fmt::print("{}\n", out);
    for (std::size_t i = 0; i < fit.calibration.primaries.size(); ++i) {
        fmt::print("  {:<4} tone response, error in L* of a level that it has not seen:\n",
                   fit.calibration.primaries[i].name);
        for (const ToneCandidate& candidate : fit.tones[i])
            fmt::print("       {} {:<18} {}\n", &candidate == &fit.tones[i].front() ? "*" : " ",
                       to_string(candidate.form), score_words(candidate.score, candidate.why_untested));
    }
    for (const ScreenTest& test : fit.tests)
        fmt::print("  {} {}: {}\n", !test.value ? " " : test.passed() ? "+" : "!", test.name, test.words);
    if (!fit.additive) {
        fmt::print("  interactions of the primaries, mean CIEDE2000 of a mixture that was not seen:\n");
        for (const InteractionCandidate& candidate : fit.interactions)
            fmt::print("       {} {:<25} {}\n", candidate.name == fit.interaction ? "*" : " ", candidate.name,
                       score_words(candidate.score, candidate.why_untested));
    }
    for (const std::string& remark : fit.remarks)
        fmt::print("  note: {}\n", remark);
    if (!fit.calibration.unknown.empty())
        fmt::print("  unknown, and to be written into the file before a session: {}\n",
                   fmt::join(fit.calibration.unknown, ", "));
    if (!fit.calibration.scale_known)
        fmt::print("  the file is in counts: how much light they are is unknown (--white-luminance)\n");
    if (!fit.calibration.unfit.empty())
        fmt::print("  UNFIT: {}\n", fit.calibration.unfit);
}

ExitStatus run(const Options& options, bool as_json) {
    std::vector<Fault> faults;
    ScreenFitOptions fit_options;
    const Readings readings = read_readings(options.readings, options.unit);
    fit_options.details = details_of(options, readings.details, faults);
    fit_options.white_luminance_cd_m2 =
        given(options.white_luminance, "--white-luminance", faults, quantity_of(Dimension::luminance_cd_m2));
    if (fit_options.white_luminance_cd_m2 && !(*fit_options.white_luminance_cd_m2 > 0.0))
        faults.push_back(
            {"", 0, 0, "--white-luminance", "white without light", "write its luminance in cd/m2"});
    refuse(faults);
    options.out.check({options.readings});
    fit_options.replicates = options.replicates;
    fit_options.seed = options.seed;
    const ScreenFit fit = fit_screen(readings, options.readings, fit_options);
    const std::string text = calibration_text(fit.calibration);
    parse_calibration(text, options.out.path);  // makes sure that what is written can be read
    options.out.write(text, {options.readings});
    as_json ? print_json(fit_json(fit, options.out.path)) : print_fit(fit, options.out.path);
    return fit.calibration.unfit.empty() ? ExitStatus::done : ExitStatus::answer_is_no;
}

}  // namespace

void add_display_fit_command(Command& display) {
    Command* command = display.add_subcommand("fit", "a calibration file from a table of readings");
    auto options = std::make_shared<Options>();
    command->add_option("readings", options->readings, "table, one reading a row: r,g,b,nm380,nm381,...")
        ->required();
    options->out.add_to(command, "calibration file to write")->required();
    add_unit_option(command, options->unit);
    command->add_option("--white-luminance", options->white_luminance,
                        "luminance of white, for readings in counts, e.g. \"120 cd/m2\"");
    command->add_option("--name", options->name, "of the screen, as your lab calls it");
    command->add_option("--serial", options->serial, "of the screen");
    command->add_option("--panel", options->panel, "technology, in your words");
    command->add_option("--measured-on", options->on, "day, e.g. 2026-11-20");
    command->add_option("--instrument", options->with, "what it was measured with");
    command->add_option("--how", options->how, "how it was measured, in your words");
    command->add_option("--warm-up", options->warm_up, "how long the screen had been on, e.g. \"30 min\"");
    command->add_option("--valid-until", options->valid_until, "last day of use, e.g. 2027-05-20");
    command->add_option("--days-valid", options->days_valid, "the same, in days from --measured-on")
        ->check(within(1, 3650));
    command->add_option("--resolution", options->resolution, "in pixels, e.g. 1920x1080");
    command->add_option("--refresh", options->refresh, "frame rate, e.g. \"60 Hz\"");
    command->add_option("--bits", options->bits, "of the frame buffer per primary")->check(one_of({8, 10}));
    command->add_option("--pixel-pitch", options->pixel_pitch,
                        "from one pixel to the next, e.g. \"0.2745 mm\"");
    command->add_option("--replicates", options->replicates, "of the bootstrap of residuals (200)")
        ->check(within(20, 100000));
    command->add_option("--seed", options->seed, "of the bootstrap (1)")->check(whole_number());
    command->add_flag("--invented", options->invented,
                      "the readings are not of a real screen: every record says so");
    command->footer(
        "What you leave out is written as unknown; a session asks for what it needs.\n"
        "Status 1: the screen is unfit, and the file says why.");
    finish_command(command, options, run);
}

}  // namespace isoseam
