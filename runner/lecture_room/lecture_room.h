#pragma once
// The class: who has joined, which scene it is at, what was answered, and where the sliders' medians stand.
//
// Pure: no clock, no network, no chance. The same commands in the same order give the same state, so that a
// room can be rebuilt from a log of them. Nothing is kept of a person but a number and answers.
//
// Scenes count from 1 here, as desks and phones count them; 0 is before the first, and one more than there
// are is the end.

#include <array>
#include <map>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocols/lectures/lecture.h"

namespace isoseam {

// To one scene: a choice, counted from 1, or a place from 0 to 1 for each slider.
struct RoomAnswer {
    std::optional<int> choice{};
    std::vector<double> sliders{};
    friend bool operator==(const RoomAnswer&, const RoomAnswer&) = default;
};

enum class AnswerOutcome {
    taken,
    not_joined,
    never_connected,  // the person has joined, but never held a stream
    scene_over,       // another scene is shown, or its answers are closed
    not_an_answer,    // of another form, or out of range
};

// The body of POST /answer: {"scene":3,"choice":1} or {"scene":3,"sliders":[0.42]}. Nothing for anything
// else.
struct SentAnswer {
    int scene = 0;
    RoomAnswer answer;
};
std::optional<SentAnswer> parse_answer(std::string_view body);

// How one slider's answers lie. Quantiles by linear interpolation between order statistics; of nobody they
// are the slider's start.
struct SliderSpread {
    std::array<int, 20> bins{};  // of equal width from 0 to 1; the last one holds 1
    double median = 0.0;
    double quartile_1 = 0.0;
    double quartile_3 = 0.0;
};

// What the desk shows that the room cannot know.
struct DeskFacts {
    std::string room;
    std::string join_address;
    double elapsed_s = 0.0;
    std::vector<std::string> warnings{};
    int late_frames = 0;
    bool steered = false;  // the field follows the median now
    double joins_per_s = 0.0;
    int turned_away = 0;  // joins that were refused since the lecture began
};

class LectureRoom {
  public:
    // For at most this many people; who comes later finds the room full. A place whose ticket never held a
    // stream is given to the next one before that, and the oldest of them first.
    explicit LectureRoom(Lecture lecture, int most_people = kMostPeople);
    static constexpr int kMostPeople = 2000;

    // ---- People ----
    // The person's number, 1 .. in the order of joining; the same again for a ticket that has joined. Nothing
    // when the room is full, or its door is closed to this ticket. ISOSEAM_CHECK: a ticket is not empty.
    std::optional<int> join(const std::string& ticket);
    std::optional<int> person(const std::string& ticket) const;
    // A stream of this ticket was opened or closed. Those who have several count once. True when a person's
    // first stream opens: from then on the person takes part.
    bool connected(const std::string& ticket, bool is_connected);
    // A closed door lets nobody new in; who has joined comes back.
    void open_door(bool open) { door_is_open_ = open; }
    bool door_is_open() const { return door_is_open_; }
    // Everybody has to join again, and nobody's answers count any more.
    void send_all_away();

    // ---- The lecturer ----
    // 0 to scene_count() + 1: what is beyond is refused (false). Answers of a scene and whether they are open
    // stay as they were left.
    bool go(int scene);
    bool next() { return go(scene_ + 1); }
    bool back() { return go(scene_ - 1); }
    void end() { go(scene_count() + 1); }
    // Whether the scene that is shown takes answers; a scene that asks does from the beginning.
    void open_answers(bool open);
    void show_answers(bool shown);

    // ---- Answers ----
    // The last answer of a person to a scene counts. It is taken of those who hold or held a stream: a
    // program that only asks for tickets cannot vote with them.
    AnswerOutcome answer(const std::string& ticket, int scene, const RoomAnswer& answer);

    // ---- What there is to know ----
    const Lecture& lecture() const { return lecture_; }
    int scene_count() const { return static_cast<int>(lecture_.scenes.size()); }
    int scene() const { return scene_; }
    const Scene* shown() const;  // null before the first and after the last
    bool ended() const { return scene_ > scene_count(); }
    bool is_open() const;
    bool answers_shown() const;
    int joined() const;  // who hold or held a stream
    int connected_people() const;
    int answer_count(int scene) const;
    std::vector<int> choice_counts(int scene) const;  // by choice
    std::vector<SliderSpread> slider_spreads(int scene) const;
    std::vector<double> medians(int scene) const;  // of its sliders

    // ---- JSON ----
    nlohmann::json phone_state(const std::string& language) const;
    nlohmann::json mine(const std::string& ticket) const;  // the answer to the scene that is shown, or null
    nlohmann::json desk_state(const std::string& language, const DeskFacts& facts) const;
    nlohmann::json answers_json(int scene, const std::string& language) const;

  private:
    struct Person {
        int number = 0;
        int streams = 0;
        bool took_part = false;  // holds or held a stream
    };
    bool give_a_place_back();
    struct SceneState {
        bool open = false;
        bool shown = false;
        std::map<int, RoomAnswer> answers;  // by person
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
