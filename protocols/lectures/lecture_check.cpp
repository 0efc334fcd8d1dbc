#include <fmt/format.h>

#include "protocols/lectures/lecture_setup.h"

namespace isoseam {
namespace {

void take_over(const InputError& error, std::vector<Fault>& faults) {
    faults.insert(faults.end(), error.faults().begin(), error.faults().end());
}

// The fault of a missing file gets the place where the lecture names the file, unless the command line named
// it.
Fault told_in_lecture(Fault fault, const Protocol& stage, const RigSource& source) {
    if (fault.line > 0 || fault.file != source.calibration_file)
        return fault;
    return {stage.file,
            source.line,
            0,
            "rig.sources." + source.name,
            fmt::format("calibration file '{}' {}", fault.file, fault.found),
            fault.remedy};
}

std::vector<Calibration> read_calibrations(const Protocol& stage,
                                           const std::map<std::string, std::string>& files,
                                           std::vector<Fault>& faults) {
    std::vector<Calibration> calibrations;
    const std::vector<std::string> paths = calibration_paths(stage, files);
    for (std::size_t i = 0; i < paths.size(); ++i) {
        try {
            calibrations.push_back(read_calibration(paths[i]));
            require_known_lights(calibrations.back());
        } catch (const InputError& error) {
            for (const Fault& fault : error.faults())
                faults.push_back(told_in_lecture(fault, stage, stage.rig.sources[i]));
        }
    }
    return calibrations;
}

}  // namespace

LectureReport check_lecture(const std::string& path,
                            const std::map<std::string, std::string>& calibration_files) {
    LectureReport report;
    try {
        Lecture lecture = read_lecture(path);
        report.languages = lecture.stage.languages;
        const std::vector<Calibration> calibrations =
            read_calibrations(lecture.stage, calibration_files, report.faults);
        if (!report.faults.empty())
            return report;
        const LectureSetup setup(std::move(lecture), calibrations);
        report.cautions = caution_texts(setup.cautions());
        for (int i = 0; i < static_cast<int>(setup.lecture().scenes.size()); ++i) {
            const Scene& scene = setup.lecture().scenes[static_cast<std::size_t>(i)];
            report.scenes.push_back({scene.name, kind_of(scene), setup.margin(i)});
        }
    } catch (const InputError& error) {
        take_over(error, report.faults);
    }
    return report;
}

}  // namespace isoseam
