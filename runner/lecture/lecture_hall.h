#pragma once
// A lecture room as browsers reach it. One LectureRoom, which the projector shows too, answers what
// telephones and the lecturer's desk ask. A LectureHall may be used from several threads.

#include <functional>
#include <map>
#include <mutex>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "runner/lecture/join_pace.h"
#include "runner/lecture_room/lecture_room.h"
#include "runner/web/publisher.h"
#include "runner/web/web_request.h"

namespace isoseam {

// The room code, which people type, and the secret of the desk, which nobody may guess.
struct HallSecrets {
    std::string room_code;
    std::string desk;  // the last part of the desk's address
    static HallSecrets drawn();
};

// What the lecturer asked for at the desk.
struct DeskCommand {
    enum class Kind { next, back, go, open_answers, show_answers, end };
    Kind kind = Kind::next;
    int scene = 0;    // the scene to go to
    bool yes = true;  // true opens or shows, false closes or hides
};

// Something that must be recorded as a line of the log.
struct Happening {
    std::string kind;  // "person_joined", "class_answer", "room_emptied"
    nlohmann::json data;
};

class LectureHall : public WebService {
  public:
    // `language` is the language of the projector and the desk. `clock` gives the seconds since the lecture
    // began. Telephones get the pages of page_files.h and the words of phrases.h. InputError: a language of
    // the lecture has no phrases.
    LectureHall(Lecture lecture, HallSecrets secrets, std::string language, std::function<double()> clock);

    // ---- For browsers, on the server's thread ----
    WebAnswer answer(const WebRequest& request) override;
    void stream_opened(const std::string& channel, const std::string& ticket) override;
    void stream_closed(const std::string& channel, const std::string& ticket) override;

    // ---- For the projector ----
    // Hands over the function by which a server publishes. From now on every change of the state is
    // published, until stop_publishing() is called. That call must come before the server ends.
    void publish_through(Publisher::Publish publish, std::string join_address);
    void stop_publishing();

    std::vector<DeskCommand> take_commands();
    std::vector<Happening> take_happenings();
    // Calls `work` with the room, for reading and changing, while nobody else uses it. If `work` changes the
    // scene, or opens, closes, shows or hides answers, this is published.
    template <class Work>
    auto with_room(const Work& work) {
        const std::lock_guard lock(mutex_);
        const Change change(*this);
        return work(room_);
    }
    void warn(const std::string& warning);
    void tell_late_frames(int late) { tell(&DeskFacts::late_frames, late); }
    void tell_steered(bool steered) { tell(&DeskFacts::steered, steered); }

    const HallSecrets& secrets() const { return secrets_; }

  private:
    WebAnswer answer_phone(const WebRequest& request);
    WebAnswer answer_desk(const WebRequest& request, const std::string& what);
    WebResponse join(const WebRequest& request);
    WebResponse take_answer(const WebRequest& request);
    WebResponse take_command(const WebRequest& request);
    // All functions below are called with the mutex held.
    WebResponse turned_away(int status, const char* error);
    bool obey_at_the_door(const std::string& word);
    std::string phone_event(const std::string& language) const;
    std::string desk_event() const;
    std::string language_asked(const WebRequest& request) const;

    // Looks at what telephones are told of when it is made and when it ends, to see whether that changed.
    class Change {
      public:
        explicit Change(LectureHall& hall) : hall_(hall), before_(now()) {}
        ~Change();
        Change(const Change&) = delete;
        Change& operator=(const Change&) = delete;

      private:
        std::tuple<int, bool, bool> now() const {
            return {hall_.room_.scene(), hall_.room_.is_open(), hall_.room_.answers_shown()};
        }
        LectureHall& hall_;
        std::tuple<int, bool, bool> before_;
    };

    // These two take the mutex themselves.
    Publisher::Told events_to_publish();
    template <class Fact>
    void tell(Fact DeskFacts::*fact, Fact now) {
        const std::lock_guard lock(mutex_);
        if (std::exchange(facts_.*fact, now) != now)
            publisher_.wake();
    }

    const HallSecrets secrets_;
    const std::string language_;
    const std::vector<std::string> languages_;  // the languages that telephones may choose
    const std::function<double()> clock_;
    // The words of the telephones' page, by language; never changed.
    std::map<std::string, nlohmann::json> words_;
    nlohmann::json language_names_;  // [{code, name}]

    std::mutex mutex_;
    LectureRoom room_;
    DeskFacts facts_;  // without those that depend on the time
    JoinPace pace_;
    std::vector<DeskCommand> commands_;
    std::vector<Happening> happenings_;

    // Telephones are told when the scene or its answers open or close; the desk is told of everything.
    bool phones_are_stale_ = false;
    Publisher publisher_;  // its thread ends before anything else goes
};

}  // namespace isoseam
