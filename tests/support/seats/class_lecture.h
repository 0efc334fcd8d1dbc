#pragma once
// The lecture class.yaml, with a hall and the browsers of a class that need no network.

#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <variant>

#include "protocols/lectures/lecture_setup.h"
#include "runner/lecture/lecture_hall.h"

namespace isoseam::test {

// `captions`: of the scenes with a field, by index.
inline LectureSetup class_lecture(const std::map<std::size_t, Words>& captions = {}) {
    Lecture lecture = read_lecture(ISOSEAM_SOURCE_DIR "/tests/runner/class.yaml");
    for (const auto& [scene, caption] : captions)
        lecture.scenes.at(scene).field.value().caption = caption;
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(lecture.stage, {}))
        calibrations.push_back(read_calibration(path));
    return LectureSetup(std::move(lecture), calibrations);
}

inline WebRequest get(const std::string& path, const std::string& ticket = "") {
    WebRequest request;
    request.method = "GET";
    request.path = path;
    request.ticket = ticket;
    return request;
}

inline WebRequest post(const std::string& path, const nlohmann::json& body, const std::string& ticket = "") {
    WebRequest request = get(path, ticket);
    request.method = "POST";
    request.body = body.dump();
    return request;
}

inline WebResponse response(WebService& service, const WebRequest& request) {
    return std::get<WebResponse>(service.answer(request));
}

inline nlohmann::json json_of(const WebResponse& response) {
    return nlohmann::json::parse(response.body, nullptr, false);
}

// The ticket of somebody who joins and opens a stream; "" where nobody may.
inline std::string join(LectureHall& hall) {
    const std::string ticket = response(hall, post("/join", {{"room", hall.secrets().room_code}})).set_ticket;
    if (!ticket.empty())
        hall.stream_opened("phone-en", ticket);
    return ticket;
}

inline int answer(LectureHall& hall, const std::string& ticket, const nlohmann::json& answer) {
    return response(hall, post("/answer", answer, ticket)).status;
}

inline int command(LectureHall& hall, const nlohmann::json& what) {
    return response(hall, post("/desk/" + hall.secrets().desk + "/command", what)).status;
}

inline nlohmann::json desk(LectureHall& hall) {
    return json_of(response(hall, get("/desk/" + hall.secrets().desk + "/state")));
}

}  // namespace isoseam::test
