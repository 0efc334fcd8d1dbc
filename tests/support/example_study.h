#pragma once
// Invented sessions on the demo screens, as session folders that were read back would be: settings with a
// seeded scatter about the predicted match, answers with counts that are given.

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/random.h"
#include "calibration/display_model.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/observer.h"
#include "support/example_session.h"
#include "support/file_bytes.h"

namespace isoseam::test {

inline std::string demo_calibration_text(const std::string& name) {
    return file_bytes(std::string(ISOSEAM_SOURCE_DIR "/calibration/demo/") + name + ".yaml");
}

// As of a screen that somebody measured.
inline std::string measured_calibration_text(const std::string& name) {
    std::string text = demo_calibration_text(name);
    const auto replace = [&text](const std::string& what, const std::string& by) {
        const std::size_t at = text.find(what);
        if (at == std::string::npos)
            throw std::runtime_error("no '" + what + "' in " + text.substr(0, 100));
        text.replace(at, what.size(), by);
    };
    replace("invented: yes\n", "");
    replace("with: nothing (invented)", "with: a spectroradiometer");
    return text;
}

struct StudyMaker {
    std::string kind = "session";
    std::vector<std::string> screens{"demo_lcd"};  // one for both halves, or of the left and the right
    bool measured = true;
    std::string protocol = "grey_match.yaml";

    SessionHeader header(const std::string& participant, const std::string& day = "2026-11-25") const {
        SessionHeader made = example_header();
        made.kind = kind;
        made.participant = participant;
        made.started_utc =
            kind == "session" ? day + "T09:00:00.000Z" : std::string("2000-01-01T00:00:00.000Z");
        made.session = participant + "-" + (kind == "session" ? day.substr(5) : std::string("rehearsed"));
        made.protocol = stored_text(protocol, "title: " + protocol + "\n");
        made.files.clear();
        made.calibrations.clear();
        made.sources.clear();
        made.seed = 7;
        for (const std::string& screen : screens) {
            const StoredText stored =
                stored_text(screen + ".yaml",
                            measured ? measured_calibration_text(screen) : demo_calibration_text(screen));
            made.calibrations[stored.sha256] = stored;
            made.sources.push_back({screens.size() == 1    ? "screen"
                                    : made.sources.empty() ? "broad"
                                                           : "narrow",
                                    stored.sha256,
                                    -1,
                                    8,
                                    "none",
                                    {}});
        }
        if (kind == "session") {
            made.screens.resize(1);
            made.screens[0].clock.reset();
        } else {
            made.screens.clear();
            made.simulated_observer = {{"invented", true}};
        }
        made.demo_calibration = !measured;
        made.planned_settings = 8;
        made.cautions = {"A caution of the protocol."};
        return made;
    }

    SessionFolder empty(const std::string& participant, const std::string& day = "2026-11-25") const {
        SessionFolder folder;
        folder.header = header(participant, day);
        folder.folder = "somewhere/sessions/" + folder.header.session;
        folder.state = SessionState::complete;
        folder.header_ok = true;
        folder.events = {{1, 0.0, "session_started", nlohmann::json::object()},
                         {2, 0.5, "adaptation_started", {{"light", "dim"}, {"duration_s", 60.0}}}};
        return folder;
    }

    void add_settings(SessionFolder& folder, const std::string& condition, int count,
                      std::uint64_t seed) const {
        const SourceRecord& left = folder.header.sources.front();
        const SourceRecord& right = folder.header.sources.back();
        const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
        const auto lms_of = [&](const SourceRecord& source, const std::vector<double>& linear) {
            const StoredText& stored = folder.header.calibrations.at(source.calibration);
            const DisplayModel display(parse_calibration(stored.text, stored.file));
            const Eigen::Vector3d lms =
                display
                    .lms({Eigen::Map<const Eigen::VectorXd>(linear.data(),
                                                            static_cast<Eigen::Index>(linear.size()))},
                         observer)
                    .vector();
            return std::array<double, 3>{lms[0], lms[1], lms[2]};
        };
        const std::vector<double> grey{0.25, 0.25, 0.25};
        // Streams of tests, far from those of the program.
        auto noise = [seed, draw = std::uint64_t{0}]() mutable {
            return RandomStream{seed, 1000}.normal(draw++);
        };
        for (int i = 0; i < count; ++i) {
            SettingRecord setting = example_setting(static_cast<int>(folder.settings.size()) + 1, condition);
            setting.repeat = i + 1;
            setting.frames.reset();
            std::vector<double> adjusted = grey;
            for (double& drive : adjusted)
                drive *= 1.0 + 0.02 * noise();
            setting.reference = {"left", left.name, grey, {64, 64, 64}, 8, lms_of(left, grey)};
            setting.adjusted = {"right", right.name, adjusted, {64, 64, 64}, 8, lms_of(right, adjusted)};
            setting.start_adjusted = setting.adjusted;
            setting.predicted_lms = setting.reference.lms;
            setting.target_lms = setting.adjusted.lms;
            for (std::size_t cone = 0; cone < 3; ++cone)
                setting.contrast_from_predicted[cone] =
                    setting.adjusted.lms[cone] / setting.predicted_lms[cone] - 1.0;
            setting.axes = {"L+M", "S"};
            setting.setting = {0.02 * noise(), 0.03 * noise()};
            setting.start = {0.05 * noise(), 0.2 * noise()};
            setting.duration_s = 8.0 + i;
            setting.refused_steps = {0, 0};
            folder.settings.push_back(setting);
        }
    }

    SessionFolder settings(const std::string& participant, int count, std::uint64_t seed,
                           const std::string& day = "2026-11-25") const {
        SessionFolder folder = empty(participant, day);
        add_settings(folder, "grey", count, seed);
        add_settings(folder, "pale", count, seed + 100);
        return folder;
    }

    // Yes or no at three levels, with these successes of 20 trials each, and two trials of practice.
    SessionFolder answers(const std::string& participant, const std::array<int, 3>& successes) const {
        SessionFolder folder = empty(participant);
        const std::array<double, 3> levels{0.01, 0.02, 0.04};
        for (std::size_t i = 0; i < levels.size(); ++i) {
            for (int trial = 0; trial < 20; ++trial)
                folder.answers.push_back(answer(folder, levels[i], trial < successes[i] ? "yes" : "no"));
        }
        for (int trial = 0; trial < 2; ++trial) {
            folder.answers.push_back(answer(folder, 0.08, "yes"));
            folder.answers.back().practice = true;
        }
        return folder;
    }

    static AnswerRecord answer(const SessionFolder& folder, double level, const std::string& word) {
        AnswerRecord record = example_answer(static_cast<int>(folder.answers.size()) + 1);
        record.form = "yes_no";
        record.axes = {"L"};
        record.level = {level};
        record.places = 1;
        record.target_place.reset();
        record.answer = word;
        record.answer_value = 0;
        record.right.reset();
        const std::string source = folder.header.sources.front().name;
        record.shown = {"right", source, {0.26, 0.25, 0.25}, {64, 64, 64}, 8, {0.1, 0.1, 0.1}};
        record.reference = {"left", source, {0.25, 0.25, 0.25}, {64, 64, 64}, 8, {0.1, 0.1, 0.1}};
        return record;
    }
};

}  // namespace isoseam::test
