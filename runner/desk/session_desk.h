#pragma once
// The experimenter's page beside a running session. It shows how far the session is, what was set last and
// what to beware of, and it takes what the experimenter asks for. The participant's screen shows nothing of
// it.

#include <array>
#include <deque>
#include <functional>
#include <mutex>
#include <string>
#include <vector>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"
#include "results_schema/session_log.h"
#include "runner/web/publisher.h"
#include "runner/web/web_request.h"

namespace isoseam {

// What the desk knows before the session begins.
struct DeskSession {
    std::string participant;
    std::string title;
    int planned = 0;          // Settings and answers together.
    double expected_s = 0.0;  // The expected duration of the whole session.
    int answers_before = 0;   // Answers from before a session was resumed.
    struct Calibrated {
        std::string name;  // The source's name.
        // Below 0 the calibration has been out of date for so many days.
        int days_left = 0;
        bool demo = false;
    };
    std::vector<Calibrated> calibrations{};
};
DeskSession desk_session(const Setup& setup, const std::string& participant, Day today);

// Hears the session's log on the session's thread, answers browsers on the server's thread, and tells a
// DeskStation what was asked for.
class SessionDesk : public WebService, public SessionListener {
  public:
    // `secret` is the last part of the page's address. `clock` gives seconds since the session began.
    SessionDesk(DeskSession session, std::string secret, std::function<double()> clock);

    WebAnswer answer(const WebRequest& request) override;
    void hear(const std::string& kind, const nlohmann::json& data) override;
    void hear(const SettingRecord& setting) override;

    void publish_through(Publisher::Publish publish);
    void stop_publishing();

    double since_heard_s() const;  // The time since the last event.
    bool paused() const;
    bool end_asked() const;
    // A note is kept until notes_written() counts it.
    std::vector<std::string> notes_to_write() const;
    void notes_written(std::size_t count);

  private:
    WebResponse take_command(const std::string& body);
    // Both are called with the mutex held.
    std::string event() const;
    void count_trial();

    const DeskSession session_;
    const std::string secret_;
    const std::function<double()> clock_;

    mutable std::mutex mutex_;
    std::string state_ = "pages";
    std::string before_pause_ = "pages";
    std::string condition_;
    int settings_ = 0;
    int answers_ = 0;
    int right_ = 0;
    std::deque<nlohmann::json> last_settings_;
    std::vector<std::string> warnings_;
    std::int64_t late_frames_ = 0;
    double first_trial_ended_s_ = 0.0;  // When the first trial of this sitting ended, by clock_.
    int trials_here_ = 0;               // The settings and answers of this sitting.
    double heard_s_ = 0.0;
    int notes_ = 0;
    std::vector<std::string> notes_to_write_;
    bool paused_ = false;
    bool end_asked_ = false;
    bool ended_ = false;

    Publisher publisher_;  // Its thread ends before anything else goes.
};

}  // namespace isoseam
