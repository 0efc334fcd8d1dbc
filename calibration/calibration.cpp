#include "calibration/calibration.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <chrono>
#include <iterator>
#include <optional>

#include "calibration/yaml_reader.h"
#include "colorimetry/errors.h"

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

std::string tone_text(const ToneResponse& tone) {
    if (tone.is_power())
        return fmt::format("    tone: {{exponent: {}}}\n", tone.exponent());
    return fmt::format("    tone:\n      drive: {}\n      light: {}\n", list(tone.drives(), 14),
                       list(tone.linears(), 14));
}

}  // namespace

Day parse_day(std::string_view text) {
    const auto digits = [&](size_t from, size_t count) {
        int value = 0;
        for (const char letter : text.substr(from, count))
            value = letter >= '0' && letter <= '9' && value >= 0 ? value * 10 + (letter - '0') : -1;
        return value;
    };
    if (text.size() == 10 && text[4] == '-' && text[7] == '-') {
        const Day day{digits(0, 4), digits(5, 2), digits(8, 2)};
        if (day.year > 0 && day.month > 0 && day.day > 0 &&
            std::chrono::year_month_day(std::chrono::year(day.year),
                                        std::chrono::month(static_cast<unsigned>(day.month)),
                                        std::chrono::day(static_cast<unsigned>(day.day)))
                .ok()) {
            return day;
        }
    }
    throw InputError(Fault{"", 0, 0, "", fmt::format("'{}' is no day of the calendar", text),
                           "write year, month and day as in 2026-11-20"});
}

std::string to_string(const Day& day) {
    return fmt::format("{:04}-{:02}-{:02}", day.year, day.month, day.day);
}

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
    write("isoseam_calibration: {}\ninvented: {}\n", kCalibrationVersion,
          calibration.invented ? "yes" : "no");
    write("screen:\n  name: {}\n", quoted(calibration.name));
    write("  serial: {}\n  panel: {}\n", quoted(calibration.serial), quoted(calibration.panel));
    write("measured:\n  on: {}\n  with: {}\n", to_string(calibration.measured_on),
          quoted(calibration.measured_with));
    write("  how: {}\n  warm_up: {} s\n", quoted(calibration.measured_how), calibration.warm_up_s);
    write("valid_until: {}\n", to_string(calibration.valid_until));
    write("conditions:\n  resolution: [{}, {}]\n", calibration.width_px, calibration.height_px);
    write("  refresh: {} Hz\n  bits: {}\n", calibration.refresh_hz, calibration.bits);
    write("  pixel_pitch: {} mm\n", calibration.pixel_pitch_mm);
    write("unit: W/(sr m2 nm)\n{}", wavelengths_text(grid));
    write("black:\n  {}\nprimaries:\n", list(calibration.black.values(), 3));
    for (const Primary& primary : calibration.primaries) {
        write("  - name: {}\n    spectrum:\n      {}\n", quoted(primary.name),
              list(primary.spectrum.values(), 7));
        text += tone_text(primary.tone);
    }
    return text;
}

}  // namespace isoseam
