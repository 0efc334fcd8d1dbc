#include "runner/lecture/lecture_record.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "colorimetry/colour_space.h"
#include "runner/station/shown_records.h"

namespace isoseam {
namespace {

bool is_steered(const Scene& scene) {
    return std::holds_alternative<SteerScene>(scene.content);
}

}  // namespace

SessionHeader describe_lecture(const LectureSetup& setup, const Station& station) {
    constexpr std::uint64_t kNothingIsDrawn = 0;
    SessionHeader header = describe_session(setup.stage(), kNothingIsDrawn, station);
    header.participant = kClass;
    header.kind = "lecture";
    header.cautions = caution_texts(setup.cautions());
    const std::vector<Scene>& scenes = setup.lecture().scenes;
    header.planned_settings = static_cast<int>(std::count_if(scenes.begin(), scenes.end(), is_steered));
    return header;
}

LectureRecord::LectureRecord(const LectureSetup& setup, Station& station, SessionLog& log)
    : setup_(setup),
      station_(station),
      log_(log),
      started_s_(station.now_s()),
      visits_(setup.lecture().scenes.size(), 0) {}

void LectureRecord::started(const std::vector<std::string>& warnings) {
    add("session_started", nlohmann::json::object());
    for (const std::string& text : warnings)
        warning(text);
}

void LectureRecord::scene_shown(int number, const Scene& scene) {
    add("scene_shown", {{"scene", number}, {"name", scene.name}, {"kind", kind_of(scene)}});
}

void LectureRecord::answers_opened(int number, bool open) {
    add(open ? "answers_opened" : "answers_closed", {{"scene", number}});
}

void LectureRecord::setting(int scene, const std::vector<double>& start, const std::vector<double>& found,
                            double duration_s) {
    const Scene& steered = setup_.lecture().scenes[static_cast<std::size_t>(scene)];
    const Half half = std::get<SteerScene>(steered.content).half;
    const Setup& stage = setup_.stage();
    const std::array<LinearDrive, 2> at_start = setup_.lights(scene, start);
    const std::array<LinearDrive, 2> at_end = setup_.lights(scene, found);
    const auto adjusted = static_cast<std::size_t>(half);
    const auto reference = static_cast<std::size_t>(other(half));

    SettingRecord record =
        shown_setting(stage, station_, half, at_start[adjusted], at_end[adjusted], at_end[reference]);
    record.trial = ++settings_;
    record.condition = steered.name;
    record.repeat = ++visits_[static_cast<std::size_t>(scene)];
    record.space = "cone_contrast";
    record.axes = {"L", "M", "S"};
    const Lms predicted = lms_of(record.reference);
    const Eigen::VectorXd from = cone_contrast(lms_of(record.start_adjusted), predicted).vector();
    const Eigen::VectorXd to = cone_contrast(lms_of(record.adjusted), predicted).vector();
    record.start = as_recorded(from);
    record.setting = as_recorded(to);
    record.path_length = as_recorded(Eigen::VectorXd((to - from).cwiseAbs()));
    record.refused_steps = {0, 0, 0};
    record.duration_s = duration_s;
    record.target_lms = as_recorded(stage.solver(half).lms(at_end[adjusted]).vector());
    record.predicted_lms = record.reference.lms;
    record.contrast_from_predicted = as_recorded(Eigen::Vector3d(to));
    add("setting", to_json(record));
}

void LectureRecord::add(Happening happening) {
    add(happening.kind, std::move(happening.data));
}

void LectureRecord::warning(const std::string& text) {
    add("warning", {{"text", text}});
}

void LectureRecord::ended(bool finished) {
    add("session_ended", {{"reason", finished ? "finished" : "left"},
                          {"settings", settings_},
                          {"answers", 0},
                          {"ignored_presses", 0}});
}

void LectureRecord::add(const std::string& kind, nlohmann::json data) {
    const double now_s = station_.now_s();
    to_write_.push_back({now_s - started_s_, {kind, std::move(data)}});
}

std::string LectureRecord::write() {
    std::size_t written = 0;
    std::string failure;
    try {
        for (; written < to_write_.size(); ++written) {
            const auto& [time_s, event] = to_write_[written];
            log_.append(time_s, event.kind, event.data);
        }
    } catch (const MachineError& error) {
        failure = error.what();
    }
    to_write_.erase(to_write_.begin(), to_write_.begin() + static_cast<std::ptrdiff_t>(written));
    return failure;
}

}  // namespace isoseam
