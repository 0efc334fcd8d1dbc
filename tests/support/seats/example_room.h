#pragma once
// A room with the example lecture.

#include <catch2/catch.hpp>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "runner/lecture_room/lecture_room.h"
#include "support/protocols/example_lecture.h"

namespace isoseam::test {

// Numbers of the example's scenes.
inline constexpr int kCard = 1;
inline constexpr int kField = 2;
inline constexpr int kQuestion = 3;
inline constexpr int kSlider = 4;
inline constexpr int kSteer = 5;
inline constexpr int kScenes = 7;
inline constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

inline LectureRoom room(int most_people = LectureRoom::kMostPeople) {
    return LectureRoom(parse_lecture(kExampleLecture, "example.yaml"), most_people);
}

inline std::string ticket(int number) {
    return "ticket-" + std::to_string(number);
}

inline RoomAnswer choice(int number) {
    return {number, {}};
}

inline RoomAnswer places(std::vector<double> sliders) {
    return {{}, std::move(sliders)};
}

// Joins, and opens and loses a stream: from then on the person takes part.
inline void take_part(LectureRoom& room, const std::string& ticket) {
    room.join(ticket);
    room.connected(ticket, true);
    room.connected(ticket, false);
}

// With so many people who take part, at a scene.
inline LectureRoom room_at(int scene, int people) {
    LectureRoom made = room();
    for (int i = 1; i <= people; ++i)
        take_part(made, ticket(i));
    made.go(scene);
    return made;
}

inline LectureRoom with_slider_answers(const std::vector<double>& answers) {
    LectureRoom made = room_at(kSlider, static_cast<int>(answers.size()));
    for (std::size_t i = 0; i < answers.size(); ++i)
        CHECK(made.answer(ticket(static_cast<int>(i) + 1), kSlider, places({answers[i]})) ==
              AnswerOutcome::taken);
    return made;
}

}  // namespace isoseam::test
