#pragma once
// The state of the class: who has joined, which scene it is at, what was answered, and where the medians of
// the sliders stand.
//
// A room uses no clock, no network and no chance. The same commands in the same order give the same state, so
// that a room can be rebuilt from a log of them. Of a person it keeps only a number and the answers.
//
// Scenes are counted from 1 here, as desks and telephones count them. 0 is the page before the first scene,
// and scene_count() + 1 is the end.

#include <array>
#include <map>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocols/lectures/lecture.h"

namespace isoseam {

// The answer of one person to one scene: a choice, counted from 1, or a place from 0 to 1 for each slider.
struct RoomAnswer {
    std::optional<int> choice{};
    std::vector<double> sliders{};
    friend bool operator==(const RoomAnswer&, const RoomAnswer&) = default;
};
nlohmann::json to_json(const RoomAnswer& answer);  // {"choice":1} or {"sliders":[0.42]}

enum class AnswerOutcome {
    taken,
    not_joined,
    never_connected,  // the person has joined, but never held a stream
    scene_over,       // another scene is shown, or its answers are closed
    not_an_answer,    // the answer has another form, or is out of range
};

// The body of POST /answer: {"scene":3,"choice":1} or {"scene":3,"sliders":[0.42]}. Any other body gives
// none.
struct SentAnswer {
    int scene = 0;
    RoomAnswer answer;
};
std::optional<SentAnswer> parse_answer(std::string_view body);

// How the answers to one slider are spread. Quantiles come from linear interpolation between order
// statistics. While nobody has answered, they are the slider's start.
struct SliderSpread {
    std::array<int, 20> bins{};  // bins of equal width from 0 to 1; the last one holds 1
    double median = 0.0;
    double quartile_1 = 0.0;
    double quartile_3 = 0.0;
};

// What the desk shows and the room cannot know.
struct DeskFacts {
    std::string room;
    std::string join_address;
    double elapsed_s = 0.0;
    std::vector<std::string> warnings{};
    int late_frames = 0;
    bool steered = false;  // whether the field follows the median now
    double joins_per_s = 0.0;
    int turned_away = 0;  // how many joins were refused since the lecture began
};

class LectureRoom {
  public:
    // The room has places for at most this many people; whoever comes later finds it full. When all places
    // are taken, a place whose ticket never held a stream is given to the next person. The oldest such place
    // goes first.
    explicit LectureRoom(Lecture lecture, int most_people = kMostPeople);
    static constexpr int kMostPeople = 2000;

    // ---- People ----
    // Returns the person's number. Numbers count from 1 in the order of joining, and a ticket that has joined
    // gets its number again. The result is none when the room is full, or its door is closed to this ticket.
    // ISOSEAM_CHECK: the ticket is not empty.
    std::optional<int> join(const std::string& ticket);
    std::optional<int> person(const std::string& ticket) const;
    // A stream of this ticket was opened or closed. A person with several streams counts once. Returns true
    // when a person's first stream opens: from then on the person takes part.
    bool connected(const std::string& ticket, bool is_connected);
    // A closed door lets nobody new in. Whoever has joined before can come back.
    void open_door(bool open) { door_is_open_ = open; }
    bool door_is_open() const { return door_is_open_; }
    // Everybody has to join again, and nobody's answers count any more.
    void send_all_away();

    // ---- The lecturer ----
    // Goes to a scene from 0 to scene_count() + 1; any other number is refused (false). The answers of each
    // scene stay as they were left, and so does whether they are open.
    bool go(int scene);
    bool next() { return go(scene_ + 1); }
    bool back() { return go(scene_ - 1); }
    void end() { go(scene_count() + 1); }
    // Sets whether the scene that is shown takes answers. A scene that asks something takes them from the
    // beginning.
    void open_answers(bool open);
    void show_answers(bool shown);

    // ---- Answers ----
    // The last answer of a person to a scene counts. Only a person who holds or held a stream can answer, so
    // that a program that only asks for tickets cannot vote with them.
    AnswerOutcome answer(const std::string& ticket, int scene, const RoomAnswer& answer);

    // ---- What the room can tell ----
    const Lecture& lecture() const { return lecture_; }
    int scene_count() const { return static_cast<int>(lecture_.scenes.size()); }
    int scene() const { return scene_; }
    const Scene* shown() const;  // null before the first scene and after the last
    bool ended() const { return scene_ > scene_count(); }
    bool is_open() const;
    bool answers_shown() const;
    int joined() const;  // how many people hold or held a stream
    int connected_people() const;
    int answer_count(int scene) const;
    std::vector<int> choice_counts(int scene) const;  // how many people took each choice
    std::vector<SliderSpread> slider_spreads(int scene) const;
    std::vector<double> medians(int scene) const;  // the median of each slider of the scene

    // ---- JSON ----
    nlohmann::json phone_state(const std::string& language) const;
    // This person's answer to the scene that is shown, or null.
    nlohmann::json mine(const std::string& ticket) const;
    nlohmann::json desk_state(const std::string& language, const DeskFacts& facts) const;
    nlohmann::json answers_json(int scene, const std::string& language) const;

  private:
    struct Person {
        int number = 0;
        int streams = 0;
        bool took_part = false;  // whether the person holds or held a stream
    };
    bool give_a_place_back();
    struct SceneState {
        bool open = false;
        bool shown = false;
        std::map<int, RoomAnswer> answers;  // by the person's number
    };
    SceneState& state(int scene);
    const SceneState& state(int scene) const;
    const Scene& scene_at(int scene) const;

    Lecture lecture_;
    int most_people_;
    std::map<std::string, Person> people_;  // by ticket
    int last_number_ = 0;
    bool door_is_open_ = true;
    int times_emptied_ = 0;
    std::vector<SceneState> states_;  // by scene, from the first
    int scene_ = 0;
};

}  // namespace isoseam
