#include "bench/phones_server.h"

#include <chrono>
#include <map>
#include <mutex>
#include <nlohmann/json.hpp>
#include <set>
#include <thread>
#include <vector>

#include "runner/web/secrets.h"
#include "runner/web/web_server.h"

namespace isoseam::bench {
namespace {

using Json = nlohmann::json;

constexpr auto kDeskInterval = std::chrono::milliseconds(25);
constexpr const char* kPage =
    R"(<!doctype html><link rel="icon" href="/icon.svg"><link rel="stylesheet" href="/class.css">)"
    R"(<script src="/class.js"></script>)";

class StandInService : public WebService {
  public:
    explicit StandInService(const StandIn& lecture)
        : lecture_(lecture), counts_(static_cast<std::size_t>(lecture.choices)), filling_(24'000, ' ') {}

    WebAnswer answer(const WebRequest& request) override {
        const std::lock_guard lock(mutex_);
        const std::string desk = "/desk/" + lecture_.desk;
        if (request.path == "/") {
            return page_file("text/html; charset=utf-8", kPage);
        }
        if (request.path == "/class.js") {
            return page_file("text/javascript", filling_);
        }
        if (request.path == "/class.css" || request.path == "/icon.svg") {
            return page_file(request.path == "/class.css" ? "text/css" : "image/svg+xml", "");
        }
        if (request.path == desk + "/events") {
            return WebStream{"desk", desk_state()};
        }
        if (request.method == "POST") {
            return posted(request, request.path == desk + "/command");
        }
        if (chosen_.count(request.ticket) == 0) {
            return error(401, "not_joined");
        }
        if (request.path == "/events") {
            return WebStream{"phones", phone_state()};
        }
        return request.path == "/state" ? WebResponse{200, "application/json", phone_state(), {}, {}}
                                        : error(404, "not_found");
    }

    void stream_opened(const std::string& channel, const std::string& /*ticket*/) override {
        connected(channel, 1);
    }
    void stream_closed(const std::string& channel, const std::string& /*ticket*/) override {
        connected(channel, -1);
    }

    // The newest state of the desk, if it is another since the last call; then whether phones have a new one
    // too.
    std::map<std::string, std::string> news() {
        const std::lock_guard lock(mutex_);
        std::map<std::string, std::string> events;
        if (std::exchange(desk_changed_, false)) {
            events["desk"] = desk_state();
        }
        if (std::exchange(phones_changed_, false)) {
            events["phones"] = phone_state();
        }
        return events;
    }

  private:
    static WebResponse page_file(const std::string& type, const std::string& bytes) {
        return {200, type, bytes, {}, {}, true};
    }

    static WebResponse error(int status, const std::string& word) {
        return {status, "application/json", Json{{"error", word}}.dump(), {}, {}};
    }

    WebAnswer posted(const WebRequest& request, bool is_command) {
        const Json body = Json::parse(request.body, nullptr, false);
        if (!body.is_object()) {
            return error(400, "no_json");
        }
        if (is_command) {
            const std::string act = body.value("do", "");
            open_ = act == "open" || (act != "close" && open_);
            phones_changed_ = true;
        } else if (request.path == "/join") {
            if (body.value("room", "") != lecture_.room) {
                return error(403, "no_such_room");
            }
            const std::string ticket = random_token(16);
            chosen_[ticket] = -1;
            desk_changed_ = true;
            return WebResponse{200, "application/json", Json{{"person", chosen_.size()}}.dump(), ticket, {}};
        } else if (request.path == "/answer") {
            return answered(request.ticket, body.value("choice", 0) - 1);
        }
        return WebResponse{204, {}, {}, {}, {}};
    }

    WebAnswer answered(const std::string& ticket, int choice) {
        const auto person = chosen_.find(ticket);
        if (person == chosen_.end()) {
            return error(401, "not_joined");
        }
        if (!open_) {
            return error(409, "scene_over");
        }
        if (choice < 0 || choice >= lecture_.choices) {
            return error(422, "not_an_answer");
        }
        if (person->second >= 0) {
            --counts_[static_cast<std::size_t>(person->second)];
        }
        person->second = choice;
        ++counts_[static_cast<std::size_t>(choice)];
        desk_changed_ = true;
        return WebResponse{204, {}, {}, {}, {}};
    }

    void connected(const std::string& channel, int change) {
        const std::lock_guard lock(mutex_);
        connected_ += channel == "phones" ? change : 0;
        desk_changed_ = true;
    }

    std::string phone_state() const {
        Json choices = Json::array();
        for (int i = 0; i < lecture_.choices; ++i) {
            choices.push_back("choice " + std::to_string(i));
        }
        return Json{{"scene", 1}, {"kind", "question"}, {"open", open_}, {"choices", choices}}.dump();
    }

    std::string desk_state() const {
        int count = 0;
        Json choices = Json::array();
        for (const int chosen : counts_) {
            choices.push_back({{"text", "choice"}, {"count", chosen}});
            count += chosen;
        }
        return Json{{"desk", "lecture"},
                    {"scene", 1},
                    {"scenes", {{{"number", 1}, {"kind", "question"}, {"title", ""}}}},
                    {"open", open_},
                    {"people", {{"joined", chosen_.size()}, {"connected", connected_}}},
                    {"answers", {{"count", count}, {"choices", choices}}}}
            .dump();
    }

    StandIn lecture_;
    std::mutex mutex_;
    std::map<std::string, int> chosen_;  // by ticket
    std::vector<int> counts_;
    int connected_ = 0;
    bool open_ = true;
    bool desk_changed_ = false;
    bool phones_changed_ = false;
    std::string filling_;
};

}  // namespace

void serve_stand_in(const StandIn& lecture, const std::function<void(std::uint16_t)>& listening,
                    const std::function<void()>& wait_for_end) {
    StandInService service(lecture);
    WebServer server({"127.0.0.1", 0, {}}, {}, service);
    std::jthread publisher([&](const std::stop_token& stop) {
        while (!stop.stop_requested()) {
            for (auto& [channel, event] : service.news()) {
                server.publish(channel, event);
            }
            std::this_thread::sleep_for(kDeskInterval);
        }
    });
    listening(server.port());
    wait_for_end();
}

}  // namespace isoseam::bench
