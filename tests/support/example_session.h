#pragma once
// An invented session, and ways to write it.

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "results_schema/answer_record.h"
#include "results_schema/session_header.h"
#include "results_schema/session_log.h"
#include "results_schema/sha256.h"

namespace isoseam::test {

inline StoredText stored_text(const std::string& file, const std::string& text) {
    return {file, sha256_hex(text), text};
}

inline SessionHeader example_header() {
    SessionHeader header;
    header.session = "P01-20261125T160312Z";
    header.participant = "P01";
    header.kind = "session";
    header.started_utc = "2026-11-25T16:03:12.345Z";
    header.program_version = "0.1.0";
    header.seed = 18446744073709551615U;
    header.protocol = stored_text("two_sources.yaml", "title: \"Füllen\"\r\nabout: tab\tand \\ and \x01\n");
    const StoredText lcd = stored_text("lcd.yaml", "name: LCD\n");
    const StoredText narrow = stored_text("narrow.yaml", "name: narrow bands\n");
    header.calibrations = {{lcd.sha256, lcd}, {narrow.sha256, narrow}};
    header.files = {{"spectra/a.csv", stored_text("a.csv", "wavelength_nm,radiance\n400,0.1\n")}};
    header.sources = {{"LCD", lcd.sha256, 0, 8}, {"narrow", narrow.sha256, 1, 10}};
    header.screens = {{0, "first", 1920, 1080, 60.0, 8, "x11", "software", "3.3"},
                      {1, "second", 2560, 1440, 59.951, 10, "x11", "software", "3.3"}};
    header.screens[1].clock = ClockRecord{"fence", 16.68, 0.05, true, 16.7, std::nullopt};
    header.observer = {"CIE 170-1:2006, field 2 deg, age 32 years (published table)", 2.0, 32.0};
    header.planned_settings = 1000;
    header.cautions = {"nothing to caution about"};
    return header;
}

inline SessionHeader example_rehearsal() {
    SessionHeader header = example_header();
    header.kind = "rehearsal";
    header.simulated_observer = {{"shift_l_nm", 1.5}, {"setting_sd_percent", 0.5}};
    return header;
}

inline HalfRecord example_half(const std::string& half, double drive) {
    const auto code = static_cast<int>(255.0 * drive);
    return {half, half == "left" ? "LCD" : "narrow", {drive, 0.5, 0.25}, {code, 180, 128},
            8,    {3.25 * drive, 2.5, 1.0 / 3.0}};
}

inline SettingRecord example_setting(int trial, const std::string& condition = "pale") {
    SettingRecord setting;
    setting.trial = trial;
    setting.condition = condition;
    setting.repeat = 1 + (trial - 1) / 2;
    setting.adjusted_half = "right";
    setting.reference_half = "left";
    setting.space = "cone_contrast";
    setting.axes = {"L+M", "S"};
    setting.start = {0.01 * trial, -0.1};
    setting.setting = {0.001 * trial, 1.0 / 3.0};
    setting.path_length = {0.02, 0.5};
    setting.steps = 12 + trial;
    setting.refused_steps = {0, trial};
    setting.duration_s = 10.5;
    setting.adjusted = example_half("right", 0.25);
    setting.reference = example_half("left", 0.5);
    setting.start_adjusted = example_half("right", 0.75);
    setting.target_lms = {1.0, 1e-300, 5e-324};
    setting.predicted_lms = {1.0 + 0x1p-52, 2.0, 3.0};
    setting.contrast_from_predicted = {0.01 * trial, -0.02, 0.1};
    if (trial == 1)
        setting.frames = FramesRecord{600, 2, 3};
    return setting;
}

inline AnswerRecord example_answer(int trial) {
    AnswerRecord answer;
    answer.trial = trial;
    answer.condition = "faint";
    answer.repeat = 1;
    answer.run = 3;
    answer.track = 1;
    answer.form = "place";
    answer.space = "cone_contrast";
    answer.axes = {"L", "S"};
    answer.level = {0.01, 1.0 / 3.0};
    answer.places = 2;
    answer.target_place = "left";
    answer.answer = "right";
    answer.answer_value = 1;
    answer.right = false;
    answer.duration_s = 0.75;
    answer.shown = example_half("left", 0.25);
    answer.reference = example_half("right", 0.5);
    answer.frames = FramesRecord{30, 0, 0};
    answer.ignored_presses = 2;
    return answer;
}

// One event of each kind that may stand in the middle of a session of settings.
inline void append_middle(SessionLog& log) {
    log.append(0.5, "page_shown", {{"page", 1}});
    log.append(1.25, "adaptation_started", {{"light", "xy 0.31 0.33 at 20 cd/m2"}, {"duration_s", 60.0}});
    log.append(61.25, "adaptation_ended", {{"shown_s", 60.0}});
    log.append(62.0, "trial_started",
               {{"trial", 1}, {"condition", "pale"}, {"repeat", 1}, {"start", {0.01, -0.1}}});
    log.append(63.0, "warning", {{"text", "a frame was late"}});
    log.append(64.0, "paused", {{"reason", "the window lost the keyboard"}});
    log.append(65.0, "resumed", {{"reason", "the window has it again"}});
    log.append(66.0, "rest_started", nlohmann::json::object());
    log.append(67.0, "rest_ended", nlohmann::json::object());
}

// The same of what else there may be; one answer.
inline void append_people_and_answers(SessionLog& log, double time_s) {
    log.append(time_s, "language_chosen", {{"language", "de"}});
    log.append(time_s, "consent_given", {{"language", "de"}});
    log.append(time_s, "exclusion_asked", {{"question", "?"}});
    log.append(time_s, "exclusion_asked", {{"question", "?"}, {"before_flicker", true}});
    log.append(time_s, "question_answered", {{"name", "glasses"}, {"when", "before"}, {"value", true}});
    log.append(time_s, "question_answered", {{"name", "hours"}, {"when", "before"}, {"value", 7.5}});
    log.append(time_s, "block_started", {{"block", 1}, {"name", "faint lights"}});
    log.append(time_s, "answer", to_json(example_answer(901)));
    log.append(time_s, "practice_failed", {{"trial", 901}, {"condition", "faint"}});
    log.append(time_s, "setting_timed_out",
               {{"trial", 902},
                {"condition", "pale"},
                {"repeat", 1},
                {"start", {0.01, -0.1}},
                {"position", {0.01, 0.0}},
                {"duration_s", 0.25}});
}

// "" for `reason`: no end, as after a power failure.
inline std::string write_session(const std::string& parent, const SessionHeader& header,
                                 const std::vector<SettingRecord>& settings, const std::string& reason) {
    SessionLog log = SessionLog::create(parent, header, Durability::at_end);
    log.append(0.0, "session_started", nlohmann::json::object());
    append_middle(log);
    double time_s = 70.0;
    for (const SettingRecord& setting : settings) {
        log.append(time_s += 1.0 / 3.0, "setting", to_json(setting));
    }
    if (!reason.empty()) {
        log.append(time_s + 1.0, "session_ended", {{"reason", reason}, {"settings", settings.size()}});
    }
    return log.folder();
}

inline std::string write_example(const std::string& parent, int settings = 3,
                                 const std::string& reason = "finished") {
    std::vector<SettingRecord> made;
    for (int trial = 1; trial <= settings; ++trial) {
        made.push_back(example_setting(trial, trial % 2 == 0 ? "dark" : "pale"));
    }
    return write_session(parent, example_header(), made, reason);
}

}  // namespace isoseam::test
