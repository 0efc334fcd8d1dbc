#include "runner/lecture/lecture_hall.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <nlohmann/json.hpp>
#include <utility>

#include "runner/pages/page_files.h"
#include "runner/station/phrases.h"
#include "runner/web/json_answers.h"
#include "runner/web/secrets.h"

namespace isoseam {
namespace {

// A state is published at most once in kPublishPause. The desk's state is published at least once in
// kDeskPulse, because it tells the time.
constexpr std::chrono::milliseconds kPublishPause{25};
constexpr std::chrono::milliseconds kDeskPulse{1000};
constexpr int kSecretBytes = 18;
const std::string kDesk = "/desk/";
const std::string kDeskChannel = "desk";

WebResponse person_response(int person) {
    return json_response(200, nlohmann::json{{"person", person}}.dump());
}

WebResponse file_response(const std::string& name) {
    const PageFile* file = page_file(name);
    if (file == nullptr)
        return error_response(404, "not_found");
    return {.content_type = std::string(file->content_type),
            .body = std::string(file->bytes),
            .ends_connection = true};
}

// Returns the room code that people mean. What they type may have small letters, and blanks and dashes
// between the letters.
std::string typed_code(const std::string& text) {
    std::string code;
    for (const char letter : text) {
        if (letter != ' ' && letter != '-')
            code += static_cast<char>(std::toupper(static_cast<unsigned char>(letter)));
    }
    return code;
}

// The words of the telephones' page that no scene gives.
nlohmann::json words_of(const Phrases& phrases) {
    const std::string prefix = "phone_";
    nlohmann::json words = nlohmann::json::object();
    for (const std::string& id : Phrases::ids()) {
        if (id.compare(0, prefix.size(), prefix) == 0)
            words[id] = phrases(id);
    }
    return words;
}

std::vector<std::string> languages_of(const Lecture& lecture, const std::string& usual) {
    return lecture.stage.languages.empty() ? std::vector{usual} : lecture.stage.languages;
}

std::string text_of(const nlohmann::json& json, const char* key) {
    const auto found = json.find(key);
    return found != json.end() && found->is_string() ? found->get<std::string>() : "";
}

// Returns none for a body that no desk sends.
std::optional<DeskCommand> parse_command(const nlohmann::json& json, int scenes) {
    using Kind = DeskCommand::Kind;
    if (!json.is_object())
        return std::nullopt;
    static const std::map<std::string, DeskCommand> words{
        {"next", {Kind::next}},
        {"back", {Kind::back}},
        {"open", {Kind::open_answers}},
        {"close", {.kind = Kind::open_answers, .yes = false}},
        {"show_answers", {Kind::show_answers}},
        {"hide_answers", {.kind = Kind::show_answers, .yes = false}},
        {"end", {Kind::end}},
    };
    const std::string word = text_of(json, "do");
    const auto known = words.find(word);
    if (known != words.end())
        return known->second;
    const auto scene = json.find("scene");
    if (word != "go" || scene == json.end() || !scene->is_number_integer())
        return std::nullopt;
    const auto number = scene->get<std::int64_t>();
    if (number < 0 || number > scenes)
        return std::nullopt;
    return DeskCommand{Kind::go, static_cast<int>(number)};
}

}  // namespace

HallSecrets HallSecrets::drawn() {
    return {random_room_code(), random_token(kSecretBytes)};
}

LectureHall::LectureHall(Lecture lecture, HallSecrets secrets, std::string language,
                         std::function<double()> clock)
    : secrets_(std::move(secrets)),
      language_(std::move(language)),
      languages_(languages_of(lecture, language_)),
      clock_(std::move(clock)),
      language_names_(nlohmann::json::array()),
      room_(std::move(lecture)),
      publisher_(kPublishPause, kDeskPulse) {
    facts_.room = secrets_.room_code;
    for (const std::string& code : languages_) {
        const Phrases phrases = Phrases::read(code);
        words_[code] = words_of(phrases);
        language_names_.push_back({{"code", code}, {"name", phrases("name")}});
    }
}

// ---- For browsers ----

WebAnswer LectureHall::answer(const WebRequest& request) {
    if (!request.path.starts_with(kDesk))
        return answer_phone(request);
    const std::optional<std::string> what = below_secret(request.path, kDesk, secrets_.desk);
    return what ? answer_desk(request, *what) : error_response(404, "not_found");
}

WebAnswer LectureHall::answer_phone(const WebRequest& request) {
    const bool is_post = request.method == "POST";
    if (request.path == "/join")
        return is_post ? join(request) : not_allowed("POST");
    if (request.path == "/answer")
        return is_post ? take_answer(request) : not_allowed("POST");
    if (is_post)
        return page_file(request.path.substr(1)) != nullptr || request.path == "/"
                   ? not_allowed("GET")
                   : error_response(404, "not_found");
    if (request.path == "/")
        return file_response("class.html");
    if (request.path == "/words")
        return json_response(
            200, nlohmann::json{{"languages", language_names_}, {"words", words_.at(language_asked(request))}}
                     .dump());
    if (request.path != "/state" && request.path != "/events")
        return file_response(request.path.substr(1));

    const std::string language = language_asked(request);
    const std::lock_guard lock(mutex_);
    if (!room_.person(request.ticket))
        return error_response(401, "not_joined");
    if (request.path == "/events")
        return WebStream{"phone-" + language, phone_event(language)};
    nlohmann::json state = room_.phone_state(language);
    state["mine"] = room_.mine(request.ticket);
    state["words"] = words_.at(language);
    return json_response(200, state.dump());
}

WebResponse LectureHall::join(const WebRequest& request) {
    const nlohmann::json json = nlohmann::json::parse(request.body, nullptr, false);
    if (!json.is_object() || !same_secret(typed_code(text_of(json, "room")), secrets_.room_code))
        return error_response(403, "no_such_room");
    const std::lock_guard lock(mutex_);
    std::optional<int> person = room_.person(request.ticket);
    if (person)
        return person_response(*person);
    if (!room_.door_is_open())
        return turned_away(409, "door_closed");
    if (!pace_.lets_in(request.client, clock_()))
        return turned_away(429, "too_many_joins");
    const std::string ticket = random_token(kSecretBytes);
    person = room_.join(ticket);
    if (!person)
        return turned_away(503, "room_full");
    pace_.joined(clock_());
    publisher_.wake();
    WebResponse response = person_response(*person);
    response.set_ticket = ticket;
    return response;
}

WebResponse LectureHall::turned_away(int status, const char* error) {
    pace_.turned_away();
    publisher_.wake();
    return error_response(status, error);
}

WebResponse LectureHall::take_answer(const WebRequest& request) {
    const std::optional<SentAnswer> sent = parse_answer(request.body);
    const std::lock_guard lock(mutex_);
    const std::optional<int> person = room_.person(request.ticket);
    if (!person)
        return error_response(401, "not_joined");
    if (!sent)
        return error_response(422, "not_an_answer");
    switch (room_.answer(request.ticket, sent->scene, sent->answer)) {
        case AnswerOutcome::not_joined:
            return error_response(401, "not_joined");
        // The telephone's page sends it again when it has its stream.
        case AnswerOutcome::never_connected:
            return error_response(429, "no_stream");
        case AnswerOutcome::scene_over:
            return error_response(409, "scene_over");
        case AnswerOutcome::not_an_answer:
            return error_response(422, "not_an_answer");
        case AnswerOutcome::taken:
            break;
    }
    nlohmann::json data = to_json(sent->answer);
    data["scene"] = sent->scene;
    data["person"] = *person;
    happenings_.push_back({"class_answer", std::move(data)});
    publisher_.wake();
    return no_content();
}

WebAnswer LectureHall::answer_desk(const WebRequest& request, const std::string& what) {
    if (what == "/command")
        return request.method == "POST" ? take_command(request) : not_allowed("POST");
    if (!what.empty() && what != "/events" && what != "/state")
        return error_response(404, "not_found");
    if (request.method == "POST")
        return not_allowed("GET");
    if (what.empty())
        return file_response("desk.html");
    const std::lock_guard lock(mutex_);
    if (what == "/events")
        return WebStream{kDeskChannel, desk_event()};
    return json_response(200, desk_event());
}

// Commands about people in the room do not wait for the projector, but are obeyed at once.
bool LectureHall::obey_at_the_door(const std::string& word) {
    if (word == "empty_room") {
        room_.send_all_away();
        happenings_.push_back({"room_emptied", nlohmann::json::object()});
        phones_are_stale_ = true;
    } else if (word == "open_door" || word == "close_door") {
        room_.open_door(word == "open_door");
    } else {
        return false;
    }
    publisher_.wake();
    return true;
}

WebResponse LectureHall::take_command(const WebRequest& request) {
    const nlohmann::json json = nlohmann::json::parse(request.body, nullptr, false);
    const std::lock_guard lock(mutex_);
    if (json.is_object() && obey_at_the_door(text_of(json, "do")))
        return no_content();
    const std::optional<DeskCommand> command = parse_command(json, room_.scene_count());
    if (!command)
        return error_response(422, "not_a_command");
    commands_.push_back(*command);
    return no_content();
}

void LectureHall::stream_opened(const std::string& channel, const std::string& ticket) {
    if (channel == kDeskChannel)
        return;
    const std::lock_guard lock(mutex_);
    if (room_.connected(ticket, true))
        happenings_.push_back({"person_joined", {{"person", *room_.person(ticket)}}});
    publisher_.wake();
}

void LectureHall::stream_closed(const std::string& channel, const std::string& ticket) {
    if (channel == kDeskChannel)
        return;
    const std::lock_guard lock(mutex_);
    room_.connected(ticket, false);
    publisher_.wake();
}

std::string LectureHall::language_asked(const WebRequest& request) const {
    const auto asked = request.query.find("language");
    const bool known = asked != request.query.end() &&
                       std::find(languages_.begin(), languages_.end(), asked->second) != languages_.end();
    return known ? asked->second : languages_.front();
}

std::string LectureHall::phone_event(const std::string& language) const {
    return room_.phone_state(language).dump();
}

std::string LectureHall::desk_event() const {
    DeskFacts facts = facts_;
    facts.elapsed_s = clock_();
    facts.joins_per_s = pace_.joins_per_s(clock_());
    facts.turned_away = pace_.how_many_turned_away();
    return room_.desk_state(language_, facts).dump();
}

// ---- For the projector ----

LectureHall::Change::~Change() {
    if (now() == before_)
        return;
    hall_.phones_are_stale_ = true;
    hall_.publisher_.wake();
}

void LectureHall::publish_through(Publisher::Publish publish, std::string join_address) {
    {
        const std::lock_guard lock(mutex_);
        facts_.join_address = std::move(join_address);
    }
    publisher_.begin([this] { return events_to_publish(); }, std::move(publish));
}

void LectureHall::stop_publishing() {
    publisher_.end();
}

Publisher::Told LectureHall::events_to_publish() {
    const std::lock_guard lock(mutex_);
    Publisher::Told events{{kDeskChannel, desk_event()}};
    if (std::exchange(phones_are_stale_, false)) {
        for (const std::string& language : languages_)
            events.emplace_back("phone-" + language, phone_event(language));
    }
    return events;
}

std::vector<DeskCommand> LectureHall::take_commands() {
    const std::lock_guard lock(mutex_);
    return std::exchange(commands_, {});
}

std::vector<Happening> LectureHall::take_happenings() {
    const std::lock_guard lock(mutex_);
    return std::exchange(happenings_, {});
}

void LectureHall::warn(const std::string& warning) {
    const std::lock_guard lock(mutex_);
    facts_.warnings.push_back(warning);
    publisher_.wake();
}

}  // namespace isoseam
