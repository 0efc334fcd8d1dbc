#include "runner/station/shown_records.h"

#include <filesystem>

#include "base/version.h"
#include "protocols/checks/cautions.h"
#include "protocols/language/durations.h"
#include "results_schema/sha256.h"

namespace isoseam {

Few<double> as_recorded(const Eigen::VectorXd& numbers) {
    return {numbers.begin(), numbers.end()};
}

std::array<double, 3> as_recorded(const Eigen::Vector3d& excitations) {
    return {excitations[0], excitations[1], excitations[2]};
}

HalfRecord half_record(const Setup& setup, const Station& station, Half half, const LinearDrive& linear) {
    const int source = setup.source_of(half);
    const DriveSolver& solver = setup.solver(source);
    const FrameDepth depth = station.depth(source);
    const DriveCode code = code_from_linear(linear, solver.display(), depth.bits);
    const LinearDrive emitted = shown_linear(linear, solver.display(), depth);
    HalfRecord record;
    record.half = half_name(half, setup.protocol().field);
    record.source = setup.protocol().rig.sources[static_cast<std::size_t>(source)].name;
    record.linear = as_recorded(emitted.fractions);
    record.code.assign(code.values.begin(), code.values.end());
    record.bits = code.bits;
    record.lms = as_recorded(solver.lms(emitted).vector());
    return record;
}

Lms lms_of(const HalfRecord& half) {
    return {half.lms[0], half.lms[1], half.lms[2]};
}

SettingRecord shown_setting(const Setup& setup, const Station& station, Half adjusted,
                            const LinearDrive& start, const LinearDrive& end, const LinearDrive& reference) {
    SettingRecord setting;
    setting.adjusted = half_record(setup, station, adjusted, end);
    setting.reference = half_record(setup, station, other(adjusted), reference);
    setting.start_adjusted = half_record(setup, station, adjusted, start);
    setting.adjusted_half = setting.adjusted.half;
    setting.reference_half = setting.reference.half;
    return setting;
}

SessionHeader describe_session(const Setup& setup, std::uint64_t seed, const Station& station) {
    const Protocol& protocol = setup.protocol();
    const auto bare_name = [](const std::string& path) {
        return std::filesystem::path(path).filename().string();
    };
    SessionHeader header;
    header.program_version = kProgramVersion;
    header.seed = seed;
    header.sources = station.sources();
    header.screens = station.screens();
    header.protocol = {bare_name(protocol.file), sha256_hex(protocol.text), protocol.text};
    for (int i = 0; i < setup.source_count(); ++i) {
        const Calibration& calibration = setup.solver(i).display().calibration();
        const std::string hash = sha256_hex(calibration.text);
        header.sources[static_cast<std::size_t>(i)].calibration = hash;
        header.calibrations[hash] = {bare_name(calibration.file), hash, calibration.text};
        header.demo_calibration = header.demo_calibration || calibration.invented || calibration.estimated;
    }
    for (const auto& [path, text] : protocol.spectrum_files)
        header.files[path] = {bare_name(path), sha256_hex(text), text};
    header.observer = {setup.observer().description(), setup.observer().parameters().field.degrees(),
                       setup.observer().parameters().age.years()};
    header.planned_settings = planned_trials(protocol);
    header.cautions = caution_texts(cautions_of(setup, station.depth(setup.field_source()).dither));
    return header;
}

}  // namespace isoseam
