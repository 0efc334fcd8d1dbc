// The class as a fold of commands: who joins, where it is, what counts as an answer.

#include "runner/lecture_room/lecture_room.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "base/random.h"
#include "support/seats/example_room.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::string everything(const LectureRoom& room) {
    std::string all;
    for (const char* language : {"en", "de", "fr", ""}) {
        all += room.phone_state(language).dump();
        all += room.desk_state(language, {}).dump();
        for (int scene = 1; scene <= kScenes; ++scene)
            all += room.answers_json(scene, language).dump();
    }
    for (int i = 1; i <= 40; ++i)
        all += room.mine(ticket(i)).dump();
    return all;
}

}  // namespace

TEST_CASE("people are numbered in the order of joining, and a ticket keeps its number") {
    LectureRoom made = room();
    CHECK(made.join("b") == 1);
    CHECK(made.join("a") == 2);
    CHECK(made.join("b") == 1);
    CHECK(made.person("a") == 2);
    CHECK_FALSE(made.person("c"));
    CHECK_THROWS_AS(made.join(""), std::logic_error);
}

TEST_CASE("a full room takes nobody new, and everybody back") {
    LectureRoom made = room(2);
    take_part(made, "a");
    take_part(made, "b");
    CHECK_FALSE(made.join("c"));
    CHECK(made.join("a") == 1);
    CHECK(made.joined() == 2);
    made.go(kQuestion);
    CHECK(made.answer("c", kQuestion, choice(1)) == AnswerOutcome::not_joined);
}

TEST_CASE("a program that only asks for places takes none from those who take part, and does not count") {
    LectureRoom made = room(3);
    take_part(made, "a");
    for (int i = 1; i <= 2000; ++i)
        CHECK(made.join(ticket(i)) == i + 1);
    CHECK(made.joined() == 1);
    // The oldest of the empty places goes first: the last two are kept, for they may be about to open a
    // stream.
    CHECK_FALSE(made.person(ticket(1998)));
    CHECK(made.person(ticket(1999)) == 2000);
    CHECK(made.person(ticket(2000)) == 2001);
    CHECK(made.join("b") == 2002);
    CHECK(made.connected("b", true));
    CHECK_FALSE(made.connected("b", true));
    made.connected(ticket(2000), true);
    CHECK(made.joined() == 3);
    CHECK_FALSE(made.join("c"));
    CHECK(made.person("a") == 1);
}

TEST_CASE("votes count of tickets that hold or held a stream only") {
    LectureRoom made = room_at(kQuestion, 1);
    for (int i = 2; i <= 100; ++i) {
        made.join(ticket(i));
        CHECK(made.answer(ticket(i), kQuestion, choice(2)) == AnswerOutcome::never_connected);
    }
    CHECK(made.answer(ticket(1), kQuestion, choice(1)) == AnswerOutcome::taken);
    CHECK(made.choice_counts(kQuestion) == std::vector<int>{1, 0, 0});
    made.connected(ticket(2), true);
    CHECK(made.answer(ticket(2), kQuestion, choice(2)) == AnswerOutcome::taken);
    made.connected(ticket(2), false);
    CHECK(made.answer(ticket(2), kQuestion, choice(3)) == AnswerOutcome::taken);
    CHECK(made.choice_counts(kQuestion) == std::vector<int>{1, 0, 1});
}

TEST_CASE("a closed door lets nobody new in, and everybody back") {
    LectureRoom made = room_at(kQuestion, 1);
    made.open_door(false);
    CHECK_FALSE(made.join("late"));
    CHECK(made.join(ticket(1)) == 1);
    CHECK(made.answer(ticket(1), kQuestion, choice(1)) == AnswerOutcome::taken);
    CHECK_FALSE(made.desk_state("en", {})["door_open"].get<bool>());
    made.open_door(true);
    CHECK(made.join("late") == 2);
}

TEST_CASE("who was sent away is not known any more, and what they answered does not count") {
    LectureRoom made = room_at(kQuestion, 2);
    made.answer(ticket(1), kQuestion, choice(1));
    made.go(kSlider);
    made.answer(ticket(2), kSlider, places({0.9}));
    made.send_all_away();
    CHECK(made.joined() == 0);
    CHECK(made.answer_count(kQuestion) == 0);
    CHECK(made.medians(kSlider) == std::vector<double>{0.25});
    CHECK(made.answer(ticket(2), kSlider, places({0.9})) == AnswerOutcome::not_joined);
    CHECK_FALSE(made.connected(ticket(2), false));
    CHECK(made.phone_state("en")["times_emptied"] == 1);
    // A number is nobody else's.
    CHECK(made.join(ticket(2)) == 3);
}

TEST_CASE("who has several streams is connected once, until the last one closes") {
    LectureRoom made = room();
    made.join("a");
    made.join("b");
    made.connected("a", true);
    made.connected("a", true);
    made.connected("nobody", true);
    CHECK(made.connected_people() == 1);
    made.connected("a", false);
    CHECK(made.connected_people() == 1);
    made.connected("a", false);
    made.connected("a", false);
    CHECK(made.connected_people() == 0);
    made.connected("a", true);
    CHECK(made.connected_people() == 1);
}

TEST_CASE("the last answer of a person counts") {
    LectureRoom made = room_at(kQuestion, 3);
    CHECK(made.answer(ticket(1), kQuestion, choice(1)) == AnswerOutcome::taken);
    CHECK(made.answer(ticket(2), kQuestion, choice(1)) == AnswerOutcome::taken);
    CHECK(made.answer(ticket(1), kQuestion, choice(3)) == AnswerOutcome::taken);
    CHECK(made.choice_counts(kQuestion) == std::vector<int>{1, 0, 1});
    CHECK(made.answer_count(kQuestion) == 2);
    CHECK(made.mine(ticket(1)) == nlohmann::json{{"choice", 3}});
    CHECK(made.mine(ticket(3)).is_null());
    CHECK(made.mine("nobody").is_null());
}

TEST_CASE("who joins late answers from then on, and nothing before") {
    LectureRoom made = room_at(kQuestion, 1);
    made.answer(ticket(1), kQuestion, choice(2));
    made.go(kSlider);
    take_part(made, "late");
    CHECK(made.phone_state("en")["kind"] == "slider");
    CHECK(made.answer("late", kQuestion, choice(2)) == AnswerOutcome::scene_over);
    CHECK(made.answer("late", kSlider, places({0.5})) == AnswerOutcome::taken);
    CHECK(made.choice_counts(kQuestion) == std::vector<int>{0, 1, 0});
}

TEST_CASE("answers are taken only by the scene that is shown, while it is open") {
    LectureRoom made = room_at(kQuestion, 1);
    CHECK(made.is_open());
    made.open_answers(false);
    CHECK(made.answer(ticket(1), kQuestion, choice(1)) == AnswerOutcome::scene_over);
    CHECK_FALSE(made.phone_state("en")["open"].get<bool>());
    made.open_answers(true);
    CHECK(made.answer(ticket(1), kQuestion, choice(1)) == AnswerOutcome::taken);
    made.open_answers(false);
    made.next();
    CHECK(made.answer(ticket(1), kQuestion, choice(1)) == AnswerOutcome::scene_over);
    CHECK(made.is_open());
    made.back();
    CHECK_FALSE(made.is_open());
    CHECK(made.choice_counts(kQuestion) == std::vector<int>{1, 0, 0});
    made.go(kCard);
    made.open_answers(true);
    CHECK_FALSE(made.is_open());
    CHECK(made.answer(ticket(1), kCard, choice(1)) == AnswerOutcome::not_an_answer);
}

TEST_CASE("what is no answer changes nothing") {
    for (const RoomAnswer& hostile :
         {choice(0), choice(4), choice(-1), choice(std::numeric_limits<int>::max()), RoomAnswer{},
          places({0.5}), RoomAnswer{1, {0.5}}}) {
        LectureRoom made = room_at(kQuestion, 1);
        CHECK(made.answer(ticket(1), kQuestion, hostile) == AnswerOutcome::not_an_answer);
        CHECK(made.answer_count(kQuestion) == 0);
    }
    for (const RoomAnswer& hostile :
         {places({kNaN, 0.5}), places({0.5, kNaN}), places({-0.001, 0.5}), places({0.5, 1.001}),
          places({0.5}), places({0.5, 0.5, 0.5}), places({}), choice(1), RoomAnswer{1, {0.5, 0.5}},
          places({std::numeric_limits<double>::infinity(), 0.5})}) {
        LectureRoom made = room_at(kSteer, 1);
        CHECK(made.answer(ticket(1), kSteer, hostile) == AnswerOutcome::not_an_answer);
        CHECK(made.medians(kSteer) == std::vector<double>{0.2, 0.5});
    }
    LectureRoom made = room_at(kQuestion, 1);
    for (const int scene : {-1, 0, kScenes + 1, 1000, std::numeric_limits<int>::min()})
        CHECK(made.answer(ticket(1), scene, choice(1)) == AnswerOutcome::not_an_answer);
    made.end();
    CHECK(made.answer(ticket(1), kQuestion, choice(1)) == AnswerOutcome::scene_over);
}

TEST_CASE("medians and quartiles lie between order statistics, and those of nobody at the start") {
    CHECK(with_slider_answers({}).medians(kSlider) == std::vector<double>{0.25});
    CHECK(with_slider_answers({0.7}).medians(kSlider) == std::vector<double>{0.7});
    CHECK(with_slider_answers({0.9, 0.1, 0.4}).medians(kSlider) == std::vector<double>{0.4});
    CHECK(with_slider_answers({0.9, 0.1, 0.4, 0.5}).medians(kSlider).at(0) ==
          Approx(0.45).epsilon(test::kRoundingOfDoubles));
    // Worked by hand: place 0.25 * 5 = 1.25 of the order statistics 0 to 5, and so on.
    const SliderSpread spread =
        with_slider_answers({0.0, 0.1, 0.2, 0.4, 0.8, 1.0}).slider_spreads(kSlider).at(0);
    CHECK(spread.quartile_1 == Approx(0.125).epsilon(test::kRoundingOfDoubles));
    CHECK(spread.median == Approx(0.3).epsilon(test::kRoundingOfDoubles));
    CHECK(spread.quartile_3 == Approx(0.7).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("bins are of equal width and hold everybody, the ends too") {
    const SliderSpread spread =
        with_slider_answers({0.0, 0.0499, 0.05, 0.5, 0.999, 1.0}).slider_spreads(kSlider).at(0);
    CHECK(spread.bins[0] == 2);
    CHECK(spread.bins[1] == 1);
    CHECK(spread.bins[10] == 1);
    CHECK(spread.bins[19] == 2);
    int all = 0;
    for (const int count : spread.bins)
        all += count;
    CHECK(all == 6);
}

TEST_CASE("each slider of a steered scene has its own median") {
    LectureRoom made = room_at(kSteer, 3);
    made.answer(ticket(1), kSteer, places({0.1, 0.9}));
    made.answer(ticket(2), kSteer, places({0.2, 0.8}));
    made.answer(ticket(3), kSteer, places({0.9, 0.1}));
    CHECK(made.medians(kSteer) == std::vector<double>{0.2, 0.8});
}

TEST_CASE("scenes go from before the first to after the last, and not beyond") {
    LectureRoom made = room();
    CHECK(made.scene() == 0);
    CHECK_FALSE(made.back());
    CHECK(made.phone_state("de")["kind"] == "wait");
    CHECK(made.phone_state("de")["heading"] == "Beispiel");
    std::string kinds;
    while (made.next())
        kinds += made.phone_state("en")["kind"].get<std::string>() + " ";
    CHECK(kinds == "card field question slider steer reveal reveal end ");
    CHECK(made.ended());
    CHECK(made.phone_state("en")["text"] == nlohmann::json{"bye"});
    CHECK_FALSE(made.go(kScenes + 2));
    CHECK_FALSE(made.go(-1));
    CHECK(made.go(kCard));
    CHECK_FALSE(made.ended());
}

TEST_CASE("a thousand people answer, and the order in which they do does not matter") {
    constexpr int kPeople = 1000;
    const RandomStream stream{5, 2};
    std::vector<int> order;
    for (int i = 1; i <= kPeople; ++i)
        order.push_back(i);
    const auto answered = [&] {
        LectureRoom made = room_at(kSteer, kPeople);
        for (const int who : order) {
            const auto draw = static_cast<std::uint64_t>(2 * who);
            CHECK(
                made.answer(ticket(who), kSteer, places({stream.uniform(draw), stream.uniform(draw + 1)})) ==
                AnswerOutcome::taken);
        }
        return made;
    };
    const LectureRoom in_order = answered();
    std::reverse(order.begin(), order.end());
    std::swap(order[3], order[700]);
    CHECK(everything(answered()) == everything(in_order));
    CHECK(in_order.answer_count(kSteer) == kPeople);
    // Of uniform draws the median's standard error is 0.5 / sqrt(n); 5 of them are missed once in 2 million.
    CHECK(std::abs(in_order.medians(kSteer).at(0) - 0.5) < 5.0 * 0.5 / std::sqrt(kPeople));
}

// Anything that phones and desk can send, in any order: nothing breaks, counts add up, and the same commands
// give the same room.
TEST_CASE("the same commands give the same room") {
    constexpr std::uint64_t kSeeds = 20;
    constexpr std::uint64_t kCommands = 500;
    for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
        const RandomStream stream{seed, 3};
        const auto run = [&](LectureRoom& made) {
            std::vector<AnswerOutcome> outcomes;
            for (std::uint64_t i = 0; i < kCommands; ++i) {
                const auto draw = [&](std::uint64_t part) { return stream.uniform(8 * i + part); };
                const auto whole = [&](std::uint64_t part, int lowest, int highest) {
                    return lowest + static_cast<int>(draw(part) * (highest - lowest + 1));
                };
                const std::string who = ticket(whole(1, 1, 40));
                switch (whole(0, 0, 9)) {
                    case 0:
                        made.join(who);
                        break;
                    case 1:
                        made.connected(who, draw(2) < 0.5);
                        break;
                    case 2:
                        made.go(whole(2, -1, kScenes + 2));
                        break;
                    case 3:
                        made.open_answers(draw(2) < 0.7);
                        break;
                    case 4:
                        made.show_answers(draw(2) < 0.5);
                        break;
                    case 5:
                        outcomes.push_back(
                            made.answer(who, whole(2, -1, kScenes + 1), choice(whole(3, -1, 5))));
                        break;
                    case 6:
                        outcomes.push_back(made.answer(who, made.scene(), choice(whole(3, 1, 3))));
                        break;
                    case 7:
                        outcomes.push_back(made.answer(who, made.scene(), places({draw(3), draw(4)})));
                        break;
                    case 8:
                        made.open_door(draw(2) < 0.7);
                        if (draw(3) < 0.05)
                            made.send_all_away();
                        break;
                    default:
                        outcomes.push_back(made.answer(who, kSlider, places({1.2 * draw(3)})));
                }
            }
            return outcomes;
        };
        LectureRoom first = room(30);
        LectureRoom again = room(30);
        CHECK(run(first) == run(again));
        CHECK(everything(first) == everything(again));
        for (int scene = 1; scene <= kScenes; ++scene) {
            int counted = 0;
            for (const int count : first.choice_counts(scene))
                counted += count;
            if (scene == kQuestion)
                CHECK(counted == first.answer_count(scene));
            CHECK(first.answer_count(scene) <= first.joined());
            for (const SliderSpread& spread : first.slider_spreads(scene)) {
                CHECK(spread.quartile_1 <= spread.median);
                CHECK(spread.median <= spread.quartile_3);
            }
        }
        CHECK(first.joined() <= 30);
        CHECK(first.connected_people() <= first.joined());
    }
}
