#include "calibration/calibration.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <chrono>
#include <iterator>
#include <optional>

#include "base/errors.h"
#include "base/yaml_reader.h"
#include "calibration/readings.h"

namespace isoseam {
namespace {

using std::size_t;

// A YAML scalar in double quotes that reads back to the same bytes.
std::string quoted(const std::string& text) {
    std::string result = "\"";
    for (const char letter : text) {
        const auto code = static_cast<unsigned char>(letter);
        if (letter == '"' || letter == '\\') {
            result += '\\';
            result += letter;
        } else if (code < 0x20 || code == 0x7f) {
            result += fmt::format("\\x{:02x}", code);
        } else {
            result += letter;
        }
    }
    return result + "\"";
}

// "[1, 2, ...]", wrapped; a double as the shortest text that reads back to it.
std::string list(const std::vector<double>& values, int indent) {
    constexpr size_t kPerLine = 6;
    std::string result = "[";
    for (size_t i = 0; i < values.size(); ++i) {
        if (i > 0)
            result += i % kPerLine == 0 ? ",\n" + std::string(static_cast<size_t>(indent), ' ') : ", ";
        result += fmt::format("{}", values[i]);
    }
    return result + "]";
}

std::string wavelengths_text(const std::vector<double>& grid) {
    const double step = grid[1] - grid[0];
    for (size_t i = 0; i < grid.size(); ++i) {
        if (grid[i] != grid[0] + static_cast<double>(i) * step)
            return "wavelengths:\n  " + list(grid, 3) + "\n";
    }
    return fmt::format("wavelengths: {{from: {} nm, to: {} nm, step: {} nm}}\n", grid.front(), grid.back(),
                       step);
}

std::string tone_text(const Primary& primary) {
    const ToneResponse& tone = primary.tone;
    std::string text;
    if (tone.form() == ToneForm::points) {
        text = fmt::format("    tone:\n      drive: {}\n      light: {}\n", list(tone.drives(), 14),
                           list(tone.linears(), 14));
        if (!primary.tone_uncertainty.empty())
            text += fmt::format("      uncertainty: {}\n", list(primary.tone_uncertainty, 20));
        return text;
    }
    text = tone.is_power() ? "    tone: {" : fmt::format("    tone: {{form: {}, ", to_string(tone.form()));
    const std::vector<std::string>& names = tone_parameter_names(tone.form());
    const std::vector<double> values = tone.parameters();
    for (size_t i = 0; i < names.size(); ++i)
        text += fmt::format("{}{}: {}", i > 0 ? ", " : "", names[i], values[i]);
    if (!primary.tone_uncertainty.empty())
        text += fmt::format(", uncertainty: [{}]", fmt::join(primary.tone_uncertainty, ", "));
    return text + "}\n";
}

std::string optional_list(const char* key, const std::vector<double>& values, int indent) {
    const std::string margin(static_cast<size_t>(indent), ' ');
    if (values.empty())
        return "";
    return fmt::format("{}{}:\n{}  {}\n", margin, key, margin, list(values, indent + 3));
}

std::string interactions_text(const Calibration& calibration) {
    if (calibration.interactions.empty())
        return "";
    std::string text = "interactions:\n";
    for (const Interaction& interaction : calibration.interactions) {
        std::vector<std::string> names;
        for (const int index : interaction.of)
            names.push_back(quoted(calibration.primaries.at(static_cast<size_t>(index)).name));
        text += fmt::format("  - of: [{}]\n    spectrum:\n      {}\n", fmt::join(names, ", "),
                            list(interaction.spectrum.values(), 7));
        text += optional_list("spectrum_uncertainty", interaction.spectrum_uncertainty, 4);
    }
    return text;
}

std::string limits_text(const VerificationLimits& limits) {
    return fmt::format("limits: {{mean_de2000: {}, max_de2000: {}, cone_contrast_error_percent: {}}}\n",
                       limits.mean_de2000, limits.max_de2000, limits.cone_contrast_error_percent);
}

}  // namespace

bool expired(const Calibration& calibration, const Day& today) {
    return today > calibration.valid_until;
}

Calibration read_calibration(const std::string& path) {
    return parse_calibration(read_text_file(path), path);
}

std::string calibration_text(const Calibration& calibration) {
    const std::vector<double>& grid = calibration.black.wavelengths_nm();
    ISOSEAM_CHECK(grid.size() >= 2 &&
                      std::all_of(calibration.primaries.begin(), calibration.primaries.end(),
                                  [&](const Primary& p) { return p.spectrum.wavelengths_nm() == grid; }),
                  "the spectra of a calibration share one grid");
    std::string text;
    const auto write = [&](std::string_view format, const auto&... values) {
        fmt::vformat_to(std::back_inserter(text), format, fmt::make_format_args(values...));
    };
    const auto told = [&](const char* key, const std::string& value) {
        const std::vector<std::string>& unknown = calibration.unknown;
        return std::find(unknown.begin(), unknown.end(), key) == unknown.end() ? value : "unknown";
    };
    write("isoseam_calibration: {}\ninvented: {}\n", kCalibrationVersion,
          calibration.invented ? "yes" : "no");
    if (calibration.estimated)
        text += "estimated: yes\n";
    if (!calibration.unfit.empty())
        write("unfit: {}\n", quoted(calibration.unfit));
    write("screen:\n  name: {}\n", told("screen.name", quoted(calibration.name)));
    write("  serial: {}\n  panel: {}\n", quoted(calibration.serial), quoted(calibration.panel));
    write("measured:\n  on: {}\n", told("measured.on", to_string(calibration.measured_on)));
    write("  with: {}\n", told("measured.with", quoted(calibration.measured_with)));
    write("  how: {}\n", quoted(calibration.measured_how));
    write("  warm_up: {}\n", told("measured.warm_up", fmt::format("{} s", calibration.warm_up_s)));
    write("valid_until: {}\n", told("valid_until", to_string(calibration.valid_until)));
    write(
        "conditions:\n  resolution: {}\n",
        told("conditions.resolution", fmt::format("[{}, {}]", calibration.width_px, calibration.height_px)));
    write("  refresh: {}\n", told("conditions.refresh", fmt::format("{} Hz", calibration.refresh_hz)));
    write("  bits: {}\n", told("conditions.bits", fmt::format("{}", calibration.bits)));
    write("  pixel_pitch: {}\n",
          told("conditions.pixel_pitch", fmt::format("{} mm", calibration.pixel_pitch_mm)));
    if (calibration.limits)
        text += limits_text(*calibration.limits);
    write("unit: {}\n{}", unit_text(calibration.scale_known ? ReadingUnit::w_sr_m2_nm : ReadingUnit::counts),
          wavelengths_text(grid));
    text += optional_list("noise", calibration.noise, 0);
    write("black:\n  {}\n", list(calibration.black.values(), 3));
    text += optional_list("black_uncertainty", calibration.black_uncertainty, 0);
    text += "primaries:\n";
    for (const Primary& primary : calibration.primaries) {
        write("  - name: {}\n    spectrum:\n      {}\n", quoted(primary.name),
              list(primary.spectrum.values(), 7));
        text += optional_list("spectrum_uncertainty", primary.spectrum_uncertainty, 4);
        text += tone_text(primary);
    }
    return text + interactions_text(calibration);
}

namespace {

Fault fault_of(const Calibration& calibration, const std::string& key, std::string found,
               std::string remedy) {
    return {calibration.file, 0, 0, key, std::move(found), std::move(remedy)};
}

std::vector<Fault> faults_of_lights(const Calibration& calibration) {
    std::vector<Fault> faults;
    if (!calibration.scale_known) {
        faults.push_back(
            fault_of(calibration, "unit",
                     "the spectra are counts of an instrument: nobody told how much light they are",
                     "fit the readings again with the luminance of white (--white-luminance \"120 "
                     "cd/m2\")"));
    }
    if (!calibration.unfit.empty())
        faults.push_back(fault_of(calibration, "unfit", calibration.unfit,
                                  "use another screen, or another picture mode of this one"));
    return faults;
}

}  // namespace

void require_known_lights(const Calibration& calibration) {
    throw_if_any(faults_of_lights(calibration));
}

void require_ready_for_session(const Calibration& calibration) {
    std::vector<Fault> faults = faults_of_lights(calibration);
    for (const std::string& key : calibration.unknown) {
        if (key == "valid_until" || key.starts_with("conditions."))
            faults.push_back(
                fault_of(calibration, key, "unknown, and needed for a session", "write it into the file"));
    }
    throw_if_any(faults);
}

}  // namespace isoseam
