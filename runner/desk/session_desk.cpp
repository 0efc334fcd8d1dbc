#include "runner/desk/session_desk.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <utility>

#include "base/calendar.h"
#include "protocols/language/durations.h"
#include "runner/pages/page_files.h"
#include "runner/web/json_answers.h"
#include "runner/web/secrets.h"

namespace isoseam {
namespace {

constexpr std::chrono::milliseconds kPublishPause{50};
constexpr std::chrono::milliseconds kPulse{1000};  // because the page tells the time
constexpr std::size_t kLastSettings = 40;
constexpr std::size_t kLongestNote = 500;  // letters
// The time per trial is told after this many trials of a sitting following its first one. Fewer trials say
// little.
constexpr int kTrialsToTellTime = 3;
const std::string kDesk = "/desk/";
const std::string kChannel = "desk";

WebResponse file_response(const PageFile& file) {
    return {.content_type = std::string(file.content_type), .body = std::string(file.bytes)};
}

std::size_t letters(const std::string& utf8) {
    return static_cast<std::size_t>(std::count_if(utf8.begin(), utf8.end(), [](char byte) {
        return (static_cast<unsigned char>(byte) & 0xC0U) != 0x80U;
    }));
}

bool is_blank(const std::string& text) {
    return text.find_first_not_of(" \t\r\n") == std::string::npos;
}

nlohmann::json last_setting(const SettingRecord& setting) {
    double squares = 0.0;
    std::vector<double> percent;
    for (const double contrast : setting.contrast_from_predicted) {
        squares += contrast * contrast;
        percent.push_back(100.0 * contrast);
    }
    int refused = 0;
    for (const int steps : setting.refused_steps)
        refused += steps;
    return {{"trial", setting.trial},           {"condition", setting.condition},
            {"contrast_percent", percent},      {"distance_percent", 100.0 * std::sqrt(squares)},
            {"duration_s", setting.duration_s}, {"refused_steps", refused}};
}

}  // namespace

DeskSession desk_session(const Setup& setup, const std::string& participant, Day today) {
    const Protocol& protocol = setup.protocol();
    DeskSession session{participant, protocol.title, planned_trials(protocol), expected_duration_s(protocol)};
    for (int source = 0; source < setup.source_count(); ++source) {
        const Calibration& calibration = setup.solver(source).display().calibration();
        session.calibrations.push_back({protocol.rig.sources[static_cast<std::size_t>(source)].name,
                                        days_between(today, calibration.valid_until),
                                        calibration.invented || calibration.estimated});
    }
    return session;
}

SessionDesk::SessionDesk(DeskSession session, std::string secret, std::function<double()> clock)
    : session_(std::move(session)),
      secret_(std::move(secret)),
      clock_(std::move(clock)),
      answers_(session_.answers_before),
      publisher_(kPublishPause, kPulse) {}

// ---- The session ----

void SessionDesk::hear(const std::string& kind, const nlohmann::json& data) {
    static const std::map<std::string, std::string> states{
        {"page_shown", "pages"},       {"adaptation_started", "adaptation"},
        {"trial_started", "trial"},    {"rest_started", "rest"},
        {"rest_ended", "trial"},       {"session_ended", "ended"},
        {"adaptation_ended", "trial"}, {"answer", "trial"},
    };
    const std::lock_guard lock(mutex_);
    heard_s_ = clock_();
    const auto next = states.find(kind);
    if (next != states.end())
        state_ = next->second;
    if (kind == "paused") {
        before_pause_ = std::exchange(state_, "paused");
    } else if (kind == "resumed") {
        state_ = before_pause_;
    } else if (kind == "warning") {
        warnings_.push_back(data.at("text"));
    } else if (kind == "session_ended") {
        ended_ = true;
    } else if (kind == "trial_started") {
        condition_ = data.at("condition");
    } else if (kind == "answer") {
        ++answers_;
        count_trial();
        right_ += data.value("right", false) ? 1 : 0;
        condition_ = data.at("condition");
        if (data.contains("frames"))
            late_frames_ += data["frames"].value("late", std::int64_t{0});
    } else if (kind == "session_resumed") {
        settings_ = data.at("settings");
    }
    publisher_.wake();
}

void SessionDesk::hear(const SettingRecord& setting) {
    const std::lock_guard lock(mutex_);
    heard_s_ = clock_();
    ++settings_;
    count_trial();
    if (setting.frames)
        late_frames_ += setting.frames->late;
    last_settings_.push_back(last_setting(setting));
    if (last_settings_.size() > kLastSettings)
        last_settings_.pop_front();
    publisher_.wake();
}

void SessionDesk::count_trial() {
    if (trials_here_++ == 0)
        first_trial_ended_s_ = clock_();
}

double SessionDesk::since_heard_s() const {
    const std::lock_guard lock(mutex_);
    return clock_() - heard_s_;
}

bool SessionDesk::paused() const {
    const std::lock_guard lock(mutex_);
    return paused_;
}

bool SessionDesk::end_asked() const {
    const std::lock_guard lock(mutex_);
    return end_asked_;
}

std::vector<std::string> SessionDesk::notes_to_write() const {
    const std::lock_guard lock(mutex_);
    return notes_to_write_;
}

void SessionDesk::notes_written(std::size_t count) {
    const std::lock_guard lock(mutex_);
    notes_to_write_.erase(notes_to_write_.begin(),
                          notes_to_write_.begin() + static_cast<std::ptrdiff_t>(count));
    notes_ += static_cast<int>(count);
    publisher_.wake();
}

// ---- Browsers ----

WebAnswer SessionDesk::answer(const WebRequest& request) {
    const bool is_post = request.method == "POST";
    if (!request.path.starts_with(kDesk)) {
        const PageFile* file = page_file(request.path.substr(1));
        return file == nullptr || is_post ? error_response(404, "not_found") : file_response(*file);
    }
    const std::optional<std::string> what = below_secret(request.path, kDesk, secret_);
    if (!what)
        return error_response(404, "not_found");
    if (what == "/command")
        return is_post ? take_command(request.body) : not_allowed("POST");
    if (is_post)
        return not_allowed("GET");
    if (what == "")
        return file_response(*page_file("desk.html"));
    const std::lock_guard lock(mutex_);
    if (what == "/events")
        return WebStream{kChannel, event()};
    return what == "/state" ? json_response(200, event()) : error_response(404, "not_found");
}

WebResponse SessionDesk::take_command(const std::string& body) {
    const nlohmann::json json = nlohmann::json::parse(body, nullptr, false);
    const auto text = [&](const char* key) {
        return json.is_object() && json.contains(key) && json[key].is_string() ? json[key].get<std::string>()
                                                                               : std::string();
    };
    const std::string word = text("do");
    const std::lock_guard lock(mutex_);
    if (word == "pause" || word == "go_on") {
        paused_ = word == "pause";
    } else if (word == "end") {
        end_asked_ = true;
    } else if (word == "note" && !is_blank(text("text")) && letters(text("text")) <= kLongestNote) {
        notes_to_write_.push_back(text("text"));
    } else {
        return error_response(422, "not_a_command");
    }
    publisher_.wake();
    return no_content();
}

std::string SessionDesk::event() const {
    const int done = settings_ + answers_;
    const double now_s = clock_();
    const int to_come = std::max(session_.planned - done, 0);
    double left_s = session_.planned == 0 ? 0.0 : session_.expected_s * to_come / session_.planned;
    // Pages and adaptation come before the first trial, so only the trials after it tell how long one takes.
    const int timed = trials_here_ - 1;
    if (timed >= kTrialsToTellTime)
        left_s = to_come * (now_s - first_trial_ended_s_) / timed;
    nlohmann::json calibrations = nlohmann::json::array();
    for (const DeskSession::Calibrated& calibration : session_.calibrations) {
        calibrations.push_back(
            {{"name", calibration.name}, {"days_left", calibration.days_left}, {"demo", calibration.demo}});
    }
    return nlohmann::json{{"desk", "session"},
                          {"participant", session_.participant},
                          {"title", session_.title},
                          {"state", paused_ ? "paused" : state_},
                          {"done", done},
                          {"planned", session_.planned},
                          {"elapsed_s", now_s},
                          {"left_s", ended_ ? 0.0 : left_s},
                          {"condition", condition_},
                          {"settings", last_settings_},
                          {"answers", {{"count", answers_}, {"right", right_}}},
                          {"warnings", warnings_},
                          {"late_frames", late_frames_},
                          {"calibrations", calibrations},
                          {"notes", notes_},
                          {"ended", ended_}}
        .dump();
}

// ---- Publishing ----

void SessionDesk::publish_through(Publisher::Publish publish) {
    const auto events = [this] {
        const std::lock_guard lock(mutex_);
        return Publisher::Told{{kChannel, event()}};
    };
    publisher_.begin(events, std::move(publish));
}

void SessionDesk::stop_publishing() {
    publisher_.end();
}

}  // namespace isoseam
