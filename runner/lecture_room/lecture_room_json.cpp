// Writes the JSON that telephones and the desk are sent, and reads the JSON that telephones send.

#include <map>
#include <nlohmann/json.hpp>
#include <utility>

#include "runner/lecture_room/lecture_room.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

// Returns what telephones call the sliders of a scene.
std::vector<std::string> slider_names(const Scene& scene) {
    const auto* steer = std::get_if<SteerScene>(&scene.content);
    if (steer == nullptr)
        return std::vector<std::string>(sliders_of(scene).size(), "value");
    std::vector<std::string> names;
    for (const SteeringSlider& slider : steer->sliders)
        names.emplace_back(slider.controls == SteeringSlider::Controls::share ? "share" : "amount");
    return names;
}

// Returns the name of a language in that language. For an unknown language it is the code.
std::string language_name(const std::string& code) {
    static const std::map<std::string, std::string> names{
        {"cs", "Čeština"}, {"da", "Dansk"},     {"de", "Deutsch"},  {"en", "English"},    {"es", "Español"},
        {"fi", "Suomi"},   {"fr", "Français"},  {"it", "Italiano"}, {"nl", "Nederlands"}, {"nb", "Norsk"},
        {"pl", "Polski"},  {"pt", "Português"}, {"sv", "Svenska"},  {"tr", "Türkçe"},
    };
    const auto name = names.find(code);
    return name == names.end() ? code : name->second;
}

Json languages_json(const Lecture& lecture) {
    Json languages = Json::array();
    for (const std::string& code : lecture.stage.languages)
        languages.push_back({{"code", code}, {"name", language_name(code)}});
    return languages;
}

std::string ask_of(const Lecture& lecture, const Scene& scene, const std::string& language) {
    const auto* question = std::get_if<QuestionScene>(&scene.content);
    return question == nullptr ? "" : text_in(lecture, question->ask, language);
}

struct PhoneWords {
    std::string heading;
    std::vector<std::string> text;
};
PhoneWords phone_words(const Lecture& lecture, const Scene& scene, const std::string& language) {
    if (const auto* card = std::get_if<CardScene>(&scene.content))
        return {text_in(lecture, card->heading, language), text_in(lecture, card->text, language)};
    if (const auto* reveal = std::get_if<RevealScene>(&scene.content))
        return {text_in(lecture, reveal->heading, language), text_in(lecture, reveal->text, language)};
    return {scene.field ? text_in(lecture, scene.field->caption, language) : "",
            text_in(lecture, scene.say, language)};
}

Json choices_json(const Lecture& lecture, const Scene& scene, const std::string& language) {
    Json choices = Json::array();
    if (const auto* question = std::get_if<QuestionScene>(&scene.content)) {
        for (const Words& choice : question->choices)
            choices.push_back(text_in(lecture, choice, language));
    }
    return choices;
}

// What each slider asks.
Json sliders_json(const Lecture& lecture, const Scene& scene, const std::string& language) {
    Json sliders = Json::array();
    const std::vector<std::string> names = slider_names(scene);
    const std::vector<const SliderWords*> words = sliders_of(scene);
    for (std::size_t i = 0; i < words.size(); ++i)
        sliders.push_back({{"name", names[i]},
                           {"ask", text_in(lecture, words[i]->ask, language)},
                           {"low", text_in(lecture, words[i]->low, language)},
                           {"high", text_in(lecture, words[i]->high, language)}});
    return sliders;
}

}  // namespace

Json to_json(const RoomAnswer& answer) {
    return answer.choice ? Json{{"choice", *answer.choice}} : Json{{"sliders", answer.sliders}};
}

std::optional<SentAnswer> parse_answer(std::string_view body) {
    const Json json = Json::parse(body, nullptr, false);
    if (!json.is_object() || json.size() != 2 || !json.contains("scene"))
        return std::nullopt;
    // Returns a whole number from zero on that is not beyond the largest scene or choice.
    const auto whole = [](const Json& number) -> std::optional<int> {
        constexpr std::uint64_t kMost = 1'000'000;
        if (!number.is_number_unsigned() || number.get<std::uint64_t>() > kMost)
            return std::nullopt;
        return number.get<int>();
    };
    const std::optional<int> scene = whole(json["scene"]);
    SentAnswer sent;
    if (json.contains("choice"))
        sent.answer.choice = whole(json["choice"]);
    if (json.contains("sliders") && json["sliders"].is_array()) {
        for (const Json& place : json["sliders"]) {
            if (!place.is_number())
                return std::nullopt;
            sent.answer.sliders.push_back(place.get<double>());
        }
    }
    if (!scene || (!sent.answer.choice && sent.answer.sliders.empty()))
        return std::nullopt;
    sent.scene = *scene;
    return sent;
}

Json LectureRoom::phone_state(const std::string& language) const {
    Json state{{"scene", scene_},
               {"kind", ended() ? "end" : "wait"},
               {"heading", text_in(lecture_, lecture_.title, language)},
               {"text", Json::array()},
               {"ask", ""},
               {"choices", Json::array()},
               {"sliders", Json::array()},
               {"open", is_open()},
               {"times_emptied", times_emptied_},
               {"languages", languages_json(lecture_)}};
    if (ended() && !lecture_.closing.empty())
        state["text"].push_back(text_in(lecture_, lecture_.closing, language));
    const Scene* scene = shown();
    if (scene == nullptr)
        return state;
    const PhoneWords words = phone_words(lecture_, *scene, language);
    state["kind"] = kind_of(*scene);
    state["heading"] = words.heading;
    state["text"] = words.text;
    state["ask"] = ask_of(lecture_, *scene, language);
    state["choices"] = choices_json(lecture_, *scene, language);
    state["sliders"] = sliders_json(lecture_, *scene, language);
    for (std::size_t i = 0; i < state["sliders"].size(); ++i)
        state["sliders"][i]["start"] = sliders_of(*scene)[i]->start;
    return state;
}

Json LectureRoom::mine(const std::string& ticket) const {
    const std::optional<int> who = person(ticket);
    if (!who || shown() == nullptr)
        return nullptr;
    const std::map<int, RoomAnswer>& answers = state(scene_).answers;
    const auto given = answers.find(*who);
    return given == answers.end() ? Json() : to_json(given->second);
}

Json LectureRoom::answers_json(int scene, const std::string& language) const {
    Json json{{"count", 0}, {"choices", Json::array()}, {"sliders", Json::array()}};
    if (scene < 1 || scene > scene_count())
        return json;
    const Scene& asked = scene_at(scene);
    json["count"] = answer_count(scene);
    const auto* question = std::get_if<QuestionScene>(&asked.content);
    const std::vector<int> counts = choice_counts(scene);
    for (std::size_t i = 0; i < counts.size(); ++i) {
        Json choice{{"text", text_in(lecture_, question->choices[i], language)}, {"count", counts[i]}};
        if (question->right == static_cast<int>(i))
            choice["right"] = true;
        json["choices"].push_back(std::move(choice));
    }
    json["sliders"] = sliders_json(lecture_, asked, language);
    const std::vector<SliderSpread> spreads = slider_spreads(scene);
    for (std::size_t i = 0; i < spreads.size(); ++i) {
        json["sliders"][i].update({{"bins", spreads[i].bins},
                                   {"median", spreads[i].median},
                                   {"quartile_1", spreads[i].quartile_1},
                                   {"quartile_3", spreads[i].quartile_3}});
    }
    return json;
}

Json LectureRoom::desk_state(const std::string& language, const DeskFacts& facts) const {
    Json scenes = Json::array();
    for (std::size_t i = 0; i < lecture_.scenes.size(); ++i)
        scenes.push_back({{"number", i + 1},
                          {"kind", kind_of(lecture_.scenes[i])},
                          {"title", title_of(lecture_, lecture_.scenes[i], language)}});
    return {{"desk", "lecture"},
            {"title", text_in(lecture_, lecture_.title, language)},
            {"room", facts.room},
            {"join_address", facts.join_address},
            {"people",
             {{"joined", joined()},
              {"connected", connected_people()},
              {"joins_per_s", facts.joins_per_s},
              {"turned_away", facts.turned_away}}},
            {"door_open", door_is_open_},
            {"scenes", std::move(scenes)},
            {"scene", scene_},
            {"open", is_open()},
            {"answers_shown", answers_shown()},
            {"elapsed_s", facts.elapsed_s},
            {"answers", answers_json(scene_, language)},
            {"notes",
             shown() == nullptr ? std::vector<std::string>{} : text_in(lecture_, shown()->notes, language)},
            {"field", {{"steered", facts.steered}}},
            {"warnings", facts.warnings},
            {"late_frames", facts.late_frames},
            {"ended", ended()}};
}

}  // namespace isoseam
