#pragma once
// The record of one answer to a trial of a task.
//
//     log.append(time_s, "answer", to_json(answer));
//     const AnswerRecord again = answer_from_json(event.data);

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "results_schema/setting_record.h"

namespace isoseam {

inline constexpr auto kFormNames =
    std::to_array<std::string_view>({"yes_no", "place", "same_different", "rating"});

struct AnswerRecord {
    int trial = 0;          // number in the order shown, from 1; settings and answers are counted alike
    std::string condition;  // its name in the protocol
    int repeat = 0;         // which of the condition's runs, from 1
    int run = 0;            // number of the procedure's run in the session, from 1
    int track = 0;          // which of the run's interleaved tracks, from 0
    std::string form;       // one of kFormNames
    std::string space;      // one of kSpaceNames
    std::vector<std::string> axes;
    // Where the light `shown` stood along the axes. The predicted match is 0.
    std::vector<double> level;
    bool target = true;  // whether there was a target
    bool practice = false;
    bool catch_trial = false;
    int places = 1;  // how many places were compared; a forced choice has two or more
    // Only where places are compared and there was a target.
    std::optional<std::string> target_place{};
    std::string answer;    // "yes", "no", "same", "different", a place's name, or a category as a number
    int answer_value = 0;  // the index of a place, from 0, or the category of a rating; else 0
    std::optional<bool> right{};  // only where answers are right or wrong
    double duration_s = 0.0;      // from the first frame of the target's place, or interval, to the answer
    HalfRecord shown;             // the light at the level: the target, where there was one
    HalfRecord reference;         // the light of the places without a target
    std::optional<FramesRecord> frames{};  // only where the stimulus was timed by frames
    int ignored_presses = 0;               // presses at the wrong moment, or of keys that mean nothing

    static constexpr auto fields() {
        using Self = AnswerRecord;
        constexpr std::size_t kMostDirections = 3;
        return std::tuple{
            listed("trial", &Self::trial, kNumbered),
            listed("condition", &Self::condition),
            listed("repeat", &Self::repeat, kNumbered),
            listed("run", &Self::run, kNumbered),
            listed("track", &Self::track, {.least = 0, .most = 1000}),
            listed("form", &Self::form, {.words = kFormNames}),
            listed("space", &Self::space, {.words = kSpaceNames}),
            listed("axes", &Self::axes, {.most_items = kMostDirections, .axis_column = "name"}),
            listed("level", &Self::level, {.most_items = kMostDirections, .axis_column = "level"}),
            listed("target", &Self::target),
            listed("practice", &Self::practice),
            listed("catch_trial", &Self::catch_trial),
            listed("places", &Self::places, {.least = 1, .most = 16}),
            listed("target_place", &Self::target_place),
            listed("answer", &Self::answer),
            listed("answer_value", &Self::answer_value, {.least = 0, .most = 16}),
            listed("right", &Self::right),
            listed("duration_s", &Self::duration_s, {.least = 0}),
            listed("shown", &Self::shown),
            listed("reference", &Self::reference),
            listed("frames", &Self::frames),
            listed("ignored_presses", &Self::ignored_presses, kCounted),
        };
    }
};

// A number that is not finite is a programmer's fault (ISOSEAM_CHECK).
nlohmann::json to_json(const AnswerRecord& answer);
// InputError names the JSON pointer of each value that does not follow the schema.
AnswerRecord answer_from_json(const nlohmann::json& json);

}  // namespace isoseam
