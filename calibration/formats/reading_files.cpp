#include "calibration/formats/reading_files.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "base/text_scan.h"
#include "base/yaml_reader.h"
#include "calibration/display_model.h"
#include "calibration/formats/cgats_readings.h"
#include "calibration/formats/tm27_readings.h"

namespace isoseam {
namespace {

namespace fs = std::filesystem;

constexpr int kRampSteps = 16;

bool has_tm27_name(const fs::path& path) {
    return path.extension() == ".spdx" || path.extension() == ".xml";
}

Readings read_folder(const std::string& folder) {
    std::vector<std::string> paths;
    std::vector<Fault> faults;
    std::error_code error;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder, error)) {
        const std::string path = entry.path().string();
        if (entry.path().filename().string().front() == '.')
            continue;
        if (!has_tm27_name(path))
            faults.push_back({path, 0, 0, "", "no IES TM-27 file", "keep only .spdx or .xml files there"});
        paths.push_back(path);
    }
    if (error)
        faults.push_back({folder, 0, 0, "", "cannot be read: " + error.message(), "check its permissions"});
    if (faults.empty() && paths.empty())
        faults.push_back({folder, 0, 0, "", "a folder without readings", "name one with .spdx files"});
    throw_if_any(faults);
    std::sort(paths.begin(), paths.end());
    std::vector<NamedText> files;
    files.reserve(paths.size());
    for (const std::string& path : paths)
        files.push_back({path, read_text_file(path)});
    return readings_from_tm27(files);
}

std::vector<double> ramp_of(const ToneResponse& tone) {
    if (tone.form() == ToneForm::points)
        return tone.drives();
    std::vector<double> ramp;
    for (int i = 0; i <= kRampSteps; ++i)
        ramp.push_back(static_cast<double>(i) / kRampSteps);
    return ramp;
}

}  // namespace

Readings read_readings(const std::string& path) {
    if (fs::is_directory(path))
        return read_folder(path);
    const std::string text = read_text_file(path);
    const std::string extension = fs::path(path).extension().string();
    if (extension == ".csv")
        return parse_readings(text, path);
    if (has_tm27_name(path) || trimmed(without_byte_order_mark(text)).starts_with('<'))
        return readings_from_tm27({{path, text}});
    if (extension == ".cgats" || looks_like_cgats(text))
        return parse_cgats_readings(text, path);
    return parse_readings(text, path);
}

Readings calculated_readings(const Calibration& calibration) {
    const DisplayModel display(calibration);
    const int count = display.primary_count();
    Readings readings;
    readings.wavelengths_nm = calibration.black.wavelengths_nm();
    readings.unit = calibration.scale_known ? ReadingUnit::w_sr_m2_nm : ReadingUnit::counts;
    for (int i = 0; i < count; ++i)
        readings.primaries.push_back(count == 3 ? std::string(1, "rgb"[i]) : fmt::format("p{}", i + 1));
    const auto add = [&](const Eigen::VectorXd& drive) {
        Reading row;
        row.drive.fractions = drive;
        row.step = calibration.invented ? "calculated from invented data" : "calculated";
        const Spectrum spectrum = display.spectrum(display.linear_from_drive(row.drive));
        row.values = spectrum.sampled_on(readings.wavelengths_nm).values();
        readings.rows.push_back(std::move(row));
    };
    add(Eigen::VectorXd::Zero(count));
    for (int i = 0; i < count; ++i) {
        for (const double level : ramp_of(display.tone(i))) {
            if (level > 0.0)
                add(level * Eigen::VectorXd::Unit(count, i));
        }
    }
    add(Eigen::VectorXd::Ones(count));
    return readings;
}

}  // namespace isoseam
