#include <fmt/format.h>

#include "protocols/lectures/lecture_setup.h"

namespace isoseam {
LectureReport check_lecture(const std::string& path,
                            const std::map<std::string, std::string>& calibration_files) {
    LectureReport report;
    try {
        Lecture lecture = read_lecture(path);
        report.languages = lecture.stage.languages;
        const std::vector<Calibration> calibrations = calibrations_of(
            lecture.stage, calibration_paths(lecture.stage, calibration_files),
            [](const std::string& path_of_screen) {
                Calibration calibration = read_calibration(path_of_screen);
                require_known_lights(calibration);
                return calibration;
            },
            report.faults);
        if (!report.faults.empty())
            return report;
        const LectureSetup setup(std::move(lecture), calibrations);
        report.cautions = caution_texts(setup.cautions());
        for (int i = 0; i < static_cast<int>(setup.lecture().scenes.size()); ++i) {
            const Scene& scene = setup.lecture().scenes[static_cast<std::size_t>(i)];
            report.scenes.push_back({scene.name, kind_of(scene), setup.margin(i)});
        }
    } catch (const InputError& error) {
        report.faults.insert(report.faults.end(), error.faults().begin(), error.faults().end());
    }
    return report;
}

}  // namespace isoseam
