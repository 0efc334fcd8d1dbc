#pragma once
// The protocol mixed.yaml, and whether a record of it is what its course says.

#include "calibration/display_model.h"

#include <nlohmann/json.hpp>
#include "protocols/course/course.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"
#include "results_schema/session_folder.h"
#include "runner/session/trial_records.h"

namespace isoseam::test {

inline Setup mixed_setup() {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/tests/runner/mixed.yaml");
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

// What differs between the trials of a record and those that an undisturbed session with the same responses
// would have had; "" when nothing does.
inline std::string difference_from_course(const Setup& setup, const SessionFolder& folder) {
    const FrameDepth depth{folder.header.sources.front().bits,
                           parse_dither(folder.header.sources.front().dither)};
    Course course(setup, depth, folder.header.seed, folder.header.participant);
    const auto name = [&](int condition) {
        return setup.protocol().conditions[static_cast<std::size_t>(condition)].name;
    };
    for (const Event& event : folder.events) {
        const bool timed_out = event.kind == "setting_timed_out";
        if (event.kind != "setting" && event.kind != "answer" && !timed_out)
            continue;
        if (!course.next())
            return "a trial after the last one";
        const CourseTrial due = *course.next();
        const std::string at = "trial " + std::to_string(due.number) + ": ";
        if (event.data["trial"] != due.number || event.data["condition"] != name(due.condition))
            return at + "another number or condition";
        TrialResponse response{.kind = TrialResponse::Kind::accept};
        if (event.kind == "answer") {
            const AnswerRecord answer = answer_from_json(event.data);
            if (answer.level != due.request.level || answer.run != due.run ||
                answer.track != due.request.track || answer.practice != due.request.practice ||
                answer.catch_trial != due.request.catch_trial)
                return at + "another level or place in its run";
            if (answer.target_place.has_value() != due.request.target_place.has_value())
                return at + "a target in another place";
            response = response_of(answer);
        } else if (event.data["start"].get<std::vector<double>>() != due.request.level) {
            return at + "another starting point";
        }
        if (timed_out)
            response = {.kind = TrialResponse::Kind::waiting, .elapsed_s = 1e12};
        course.respond(response);
    }
    if (folder.state == SessionState::complete && course.next())
        return "complete, but trials are left";
    return "";
}

}  // namespace isoseam::test
