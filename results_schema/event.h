#pragma once
// What a line of settings.jsonl says.
//
//     if (event.kind == "note") print(event.time_s, event.data.at("text"));

#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>

namespace isoseam {

// `data` depends on the kind:
//
//   session_started     {}                                      the first line
//   session_resumed     {resumed_utc, settings}                 also after session_ended with reason "left"
//   language_chosen     {language}
//   consent_given       {language}                              the language of the page that was agreed to
//   exclusion_asked     {question, before_flicker?}             the answer is not kept
//   question_answered   {name, when, value}                     `when` is "before" or "after"
//   page_shown          {page}                                  number of the instruction page, from 1
//   block_started       {block, name}                           number in the order shown, from 1
//   adaptation_started  {light, duration_s}
//   adaptation_ended    {shown_s}
//   trial_started       {trial, condition, repeat, start, odd_quadrant?}
//   setting             the fields of SettingRecord
//   setting_timed_out   {trial, condition, repeat, start, position, duration_s}     there is no setting
//   answer              the fields of AnswerRecord
//   practice_failed     {trial, condition}                      the run ended without being measured
//   rest_started        {}
//   rest_ended          {}
//   paused              {reason}
//   resumed             {reason}
//   warning             {text}
//   note                {text}                                  the experimenter wrote it at the desk
//   session_ended       {reason, settings, answers?, ignored_presses?}     reason: "finished", "left"
//
// These kinds belong to a lecture, where a setting is the class's:
//
//   scene_shown         {scene, name, kind}
//   answers_opened      {scene}
//   answers_closed      {scene}
//   person_joined       {person}
//   class_answer        {scene, person, choice}                 or `sliders` instead of `choice`
//   room_emptied        {}                                      answers from before do not count
struct Event {
    std::uint64_t number = 0;  // 1, 2, 3 and so on
    double time_s = 0.0;       // since session_started, by a steady clock
    std::string kind;
    nlohmann::json data = nlohmann::json::object();
};

}  // namespace isoseam
