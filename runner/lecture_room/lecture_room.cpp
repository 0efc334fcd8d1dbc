#include "runner/lecture_room/lecture_room.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace isoseam {
namespace {

// A quantile by linear interpolation between order statistics. The extremes are at 0 and 1.
double quantile(const std::vector<double>& sorted, double share) {
    const double place = share * static_cast<double>(sorted.size() - 1);
    const auto below = static_cast<std::size_t>(std::floor(place));
    const std::size_t above = std::min(below + 1, sorted.size() - 1);
    return sorted[below] + (place - static_cast<double>(below)) * (sorted[above] - sorted[below]);
}

SliderSpread spread_of(std::vector<double> places, double start) {
    SliderSpread spread;
    spread.median = spread.quartile_1 = spread.quartile_3 = start;
    if (places.empty())
        return spread;
    std::sort(places.begin(), places.end());
    spread.median = quantile(places, 0.5);
    spread.quartile_1 = quantile(places, 0.25);
    spread.quartile_3 = quantile(places, 0.75);
    const auto last = spread.bins.size() - 1;
    for (const double place : places) {
        const auto bin = static_cast<std::size_t>(place * static_cast<double>(spread.bins.size()));
        ++spread.bins[std::min(bin, last)];
    }
    return spread;
}

// Whether the answer fits the scene. The conditions are written so that NaN is no answer.
bool fits(const Scene& scene, const RoomAnswer& answer) {
    const std::size_t sliders = sliders_of(scene).size();
    if (answer.sliders.size() != sliders ||
        !std::all_of(answer.sliders.begin(), answer.sliders.end(),
                     [](double place) { return place >= 0.0 && place <= 1.0; }))
        return false;
    const auto* question = std::get_if<QuestionScene>(&scene.content);
    if (question == nullptr)
        return sliders > 0 && !answer.choice;
    return answer.choice && *answer.choice >= 1 &&
           *answer.choice <= static_cast<int>(question->choices.size());
}

}  // namespace

LectureRoom::LectureRoom(Lecture lecture, int most_people)
    : lecture_(std::move(lecture)), most_people_(most_people), states_(lecture_.scenes.size()) {
    for (std::size_t i = 0; i < states_.size(); ++i)
        states_[i].open = asks(lecture_.scenes[i]);
}

std::optional<int> LectureRoom::join(const std::string& ticket) {
    ISOSEAM_CHECK(!ticket.empty());
    if (const auto known = person(ticket))
        return known;
    if (!door_is_open_ || (static_cast<int>(people_.size()) >= most_people_ && !give_a_place_back()))
        return std::nullopt;
    people_[ticket].number = ++last_number_;
    return last_number_;
}

// Gives back the oldest place whose ticket never held a stream. Returns false where there is no such place.
bool LectureRoom::give_a_place_back() {
    auto oldest = people_.end();
    for (auto at = people_.begin(); at != people_.end(); ++at) {
        if (!at->second.took_part && (oldest == people_.end() || at->second.number < oldest->second.number))
            oldest = at;
    }
    if (oldest == people_.end())
        return false;
    people_.erase(oldest);
    return true;
}

std::optional<int> LectureRoom::person(const std::string& ticket) const {
    const auto known = people_.find(ticket);
    return known == people_.end() ? std::nullopt : std::optional<int>(known->second.number);
}

bool LectureRoom::connected(const std::string& ticket, bool is_connected) {
    const auto known = people_.find(ticket);
    if (known == people_.end())
        return false;
    Person& who = known->second;
    who.streams = std::max(0, who.streams + (is_connected ? 1 : -1));
    return is_connected && !std::exchange(who.took_part, true);
}

void LectureRoom::send_all_away() {
    people_.clear();
    for (SceneState& state : states_)
        state.answers.clear();
    ++times_emptied_;
}

int LectureRoom::joined() const {
    return static_cast<int>(std::count_if(people_.begin(), people_.end(),
                                          [](const auto& entry) { return entry.second.took_part; }));
}

int LectureRoom::connected_people() const {
    return static_cast<int>(std::count_if(people_.begin(), people_.end(),
                                          [](const auto& entry) { return entry.second.streams > 0; }));
}

LectureRoom::SceneState& LectureRoom::state(int scene) {
    return states_.at(static_cast<std::size_t>(scene - 1));
}

const LectureRoom::SceneState& LectureRoom::state(int scene) const {
    return states_.at(static_cast<std::size_t>(scene - 1));
}

const Scene& LectureRoom::scene_at(int scene) const {
    return lecture_.scenes.at(static_cast<std::size_t>(scene - 1));
}

const Scene* LectureRoom::shown() const {
    return scene_ >= 1 && scene_ <= scene_count() ? &scene_at(scene_) : nullptr;
}

bool LectureRoom::go(int scene) {
    if (scene < 0 || scene > scene_count() + 1)
        return false;
    scene_ = scene;
    return true;
}

void LectureRoom::open_answers(bool open) {
    if (shown() != nullptr)
        state(scene_).open = open && asks(*shown());
}

void LectureRoom::show_answers(bool are_shown) {
    if (shown() != nullptr)
        state(scene_).shown = are_shown && asks(*shown());
}

bool LectureRoom::is_open() const {
    return shown() != nullptr && state(scene_).open;
}

bool LectureRoom::answers_shown() const {
    return shown() != nullptr && state(scene_).shown;
}

AnswerOutcome LectureRoom::answer(const std::string& ticket, int scene, const RoomAnswer& answer) {
    const auto who = people_.find(ticket);
    if (who == people_.end())
        return AnswerOutcome::not_joined;
    if (scene < 1 || scene > scene_count() || !fits(scene_at(scene), answer))
        return AnswerOutcome::not_an_answer;
    if (scene != scene_ || !is_open())
        return AnswerOutcome::scene_over;
    if (!who->second.took_part)
        return AnswerOutcome::never_connected;
    state(scene).answers[who->second.number] = answer;
    return AnswerOutcome::taken;
}

int LectureRoom::answer_count(int scene) const {
    return static_cast<int>(state(scene).answers.size());
}

std::vector<int> LectureRoom::choice_counts(int scene) const {
    const auto* question = std::get_if<QuestionScene>(&scene_at(scene).content);
    std::vector<int> counts(question == nullptr ? 0 : question->choices.size());
    for (const auto& [who, answer] : state(scene).answers) {
        if (answer.choice)
            ++counts.at(static_cast<std::size_t>(*answer.choice - 1));
    }
    return counts;
}

std::vector<SliderSpread> LectureRoom::slider_spreads(int scene) const {
    std::vector<SliderSpread> spreads;
    const std::vector<const SliderWords*> sliders = sliders_of(scene_at(scene));
    for (std::size_t i = 0; i < sliders.size(); ++i) {
        std::vector<double> places;
        for (const auto& [who, answer] : state(scene).answers)
            places.push_back(answer.sliders.at(i));
        spreads.push_back(spread_of(std::move(places), sliders[i]->start));
    }
    return spreads;
}

std::vector<double> LectureRoom::medians(int scene) const {
    std::vector<double> medians;
    for (const SliderSpread& spread : slider_spreads(scene))
        medians.push_back(spread.median);
    return medians;
}

}  // namespace isoseam
