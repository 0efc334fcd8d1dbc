#pragma once
// What a session leaves behind. One folder per session holds
//
//   session.json     SessionHeader: everything that was fixed before the first stimulus; written once, never
//   changed settings.jsonl   one event per line (Event), numbered and checksummed, synced to disk before the
//   next stimulus
//
// Values are resolved: a record says which text, which hash, which seed, never "default". Schemas:
// schema/*.schema.json (JSON Schema 2020-12). How to read them from other languages: README.md.

#include <array>
#include <cstdint>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "results_schema/few.h"

namespace isoseam {

inline constexpr int kResultsVersion = 1;

// A file that was used, in full.
struct StoredText {
    std::string file;    // name without folders
    std::string sha256;  // of the text, lower-case hex
    std::string text;
};

struct SourceRecord {
    std::string name;         // as the rig calls it
    std::string calibration;  // key into SessionHeader::calibrations
    int screen = -1;          // index of the display; -1: none (rehearsal)
    int bits = 8;
    std::string dither = "none";  // "none", "noise" or "ordered"
    // Of the field's centre, from the upper left corner, where the field was placed; else it stands in the
    // middle of the screen.
    std::optional<std::array<double, 2>> centre_px{};
};

// How well the times of a screen's frames are known.
struct ClockRecord {
    std::string stamp;          // what a time stamp is the time of, see README.md
    double period_ms = 0.0;     // of the refreshes, measured before the first stimulus; paced: as kept
    double spread_ms = 0.0;     // standard deviation of the stamps about an even beat
    bool synchronised = false;  // frames wait for the screen
    std::optional<double>
        input_interval_ms;             // between two looks at keys and gamepads while frames run; measured
    std::optional<double> latency_ms;  // of the display, as the experimenter stated it; none: not known
};

struct ScreenRecord {
    int index = 0;
    std::string name;
    int width_px = 0;
    int height_px = 0;
    double refresh_hz = 0.0;
    int bits = 8;
    std::string video_driver, renderer, gl_version;
    std::optional<ClockRecord> clock = std::nullopt;
};

struct ObserverRecord {
    std::string description;  // "CIE 170-1:2006, field 2 deg, age 32 years (published table)"
    double field_deg = 2.0;
    double age_years = 32.0;
};

struct SessionHeader {
    std::string session;      // folder's name
    std::string participant;  // a code, see is_participant_code
    std::string kind;         // "session" (a person), "rehearsal" (a simulated observer), "lecture" (a class)
    std::string started_utc;  // "2026-11-25T16:03:12.345Z"
    std::string program_version;
    std::uint64_t seed = 0;
    StoredText protocol;
    std::map<std::string, StoredText> calibrations;  // by sha256
    std::map<std::string, StoredText> files;  // spectra that the protocol reads, by path as written there
    std::vector<SourceRecord> sources;
    std::vector<ScreenRecord> screens;
    ObserverRecord observer;        // the nominal observer that the lights were specified for
    int planned_settings = 0;       // settings and answers; an estimate where procedures end by themselves
    bool demo_calibration = false;  // invented or estimated: not for science
    std::vector<std::string> cautions;  // plain words, e.g. what halves with the same primaries cannot show
    nlohmann::json
        simulated_observer;  // rehearsal only: the parameters of the simulated eye and hand; else null
};

// One half as it was lit, whole enough to recompute it for any observer.
struct HalfRecord {
    std::string half;  // "left", "right", "upper", "lower", "others", "odd", "first", "second"
    std::string source;
    Few<double> linear;  // fractions of each primary that were shown
    Few<int> code;       // what went into the frame buffer; with dither the nearest, their mean is linear
    int bits = 8;
    std::array<double, 3>
        lms{};  // excitations of the nominal observer by those codes, black included, W/(sr m2)
};

// What became of the frames of a stimulus that is timed by frames.
struct FramesRecord {
    std::int64_t shown = 0;
    std::int64_t late = 0;     // more than half a period after they were due
    std::int64_t dropped = 0;  // refreshes that showed an old frame since the due one was late
};

// One accepted setting.
struct SettingRecord {
    int trial = 0;  // 1 .. planned_settings, in the order shown
    std::string condition;
    int repeat = 0;  // 1 ..
    std::string adjusted_half;
    std::string reference_half;
    std::string space;  // "cone_contrast", "macleod_boynton", "primaries"
    std::vector<std::string> axes;
    Few<double> start;  // axis coordinates, relative to the predicted match (0 = predicted)
    Few<double> setting;
    Few<double> path_length;  // per axis: sum of the sizes of the steps taken
    int steps = 0;            // steps taken
    Few<int> refused_steps;   // per axis: steps asked for that would have left the gamut; not taken
    double start_shrunk_to =
        1.0;                  // < 1: the random start lay out of gamut and was moved to this share of the way
    double duration_s = 0.0;  // from the stimulus's first frame to acceptance
    HalfRecord adjusted;      // final
    HalfRecord reference;
    HalfRecord start_adjusted;           // the adjusted half at the start
    std::array<double, 3> target_lms{};  // excitations asked for, before rounding to codes: adjusted half
    std::array<double, 3>
        predicted_lms{};  // of a match, by the nominal observer: the reference half's by its codes
    std::array<double, 3> contrast_from_predicted{};  // (adjusted - reference) / reference, by the codes
    std::optional<FramesRecord> frames;               // only where the stimulus was timed by frames
    int ignored_presses = 0;                          // at the wrong moment, or of keys that mean nothing
};

// One answer to a trial of a task.
struct AnswerRecord {
    int trial = 0;  // 1 .. in the order shown, settings and answers alike
    std::string condition;
    int repeat = 0;     // of the condition's runs, 1 ..
    int run = 0;        // number of the run of the procedure, 1 .. in the session
    int track = 0;      // of interleaved tracks of the run, from 0
    std::string form;   // "yes_no", "place", "same_different", "rating"
    std::string space;  // as a setting's
    std::vector<std::string> axes;
    std::vector<double>
        level;           // along the axes, 0 = predicted match; without a target what was shown instead
    bool target = true;  // whether there was one
    bool practice = false;
    bool catch_trial = false;
    int places = 1;                             // that were compared: by a forced choice 2 or more
    std::optional<std::string> target_place{};  // where places are compared and there was a target
    std::string answer;    // "yes", "no", "same", "different", a place's name, or a category as a number
    int answer_value = 0;  // of a place its index from 0, of a rating the category; else 0
    std::optional<bool> right{};  // where answers are right or wrong
    double duration_s = 0.0;      // from the first frame of the target's place, or interval, to the answer
    HalfRecord shown;             // the light at the level: the target, where there was one
    HalfRecord reference;         // the light of places without it
    std::optional<FramesRecord> frames{};
    int ignored_presses = 0;
};

// What a line of settings.jsonl says. `data` depends on the kind:
//   session_started     {}                                first line
//   session_resumed     {resumed_utc, settings}           also after session_ended with reason "left"
//   language_chosen     {language}
//   consent_given       {language}                        of the page that was agreed to
//   exclusion_asked     {question, before_flicker?}       the answer is not kept
//   question_answered   {name, when, value}               when: "before" or "after"
//   page_shown          {page}                            instruction page number, from 1
//   block_started       {block, name}                     number, 1 .. in the order shown
//   adaptation_started  {light, duration_s}
//   adaptation_ended    {shown_s}
//   trial_started       {trial, condition, repeat, start}
//   setting             SettingRecord
//   setting_timed_out   {trial, condition, repeat, start, position, duration_s}     no setting
//   answer              AnswerRecord
//   practice_failed     {trial, condition}                the run ended without being measured
//   rest_started        {}
//   rest_ended          {}
//   paused, resumed     {reason}
//   warning             {text}
//   note                {text}                            of the experimenter, at the desk
//   session_ended       {reason, settings, answers, ignored_presses}      reason: "finished" or "left"
// and of a lecture, where a setting is the class's:
//   scene_shown         {scene, name, kind}
//   answers_opened      {scene}                           and answers_closed
//   person_joined       {person}
//   class_answer        {scene, person, choice}           or sliders instead of choice
//   room_emptied        {}                                answers from before do not count
struct Event {
    std::uint64_t number = 0;  // 1, 2, 3 ...
    double time_s = 0.0;       // since session_started, steady clock
    std::string kind;
    nlohmann::json data = nlohmann::json::object();
};

// Between 1 and 32 letters, digits, '-' and '_': a code, so that nothing which identifies a person is stored.
bool is_participant_code(const std::string& code);

nlohmann::json to_json(const SessionHeader& header);
SessionHeader session_header_from_json(const nlohmann::json& json);  // InputError names the JSON pointer
nlohmann::json to_json(const SettingRecord& setting);
// The same as text on one line, names in the order of the alphabet; a number that is not finite is a
// programmer's fault (ISOSEAM_CHECK), as there.
std::string json_text(const SettingRecord& setting);
SettingRecord setting_from_json(const nlohmann::json& json);
nlohmann::json to_json(const AnswerRecord& answer);
AnswerRecord answer_from_json(const nlohmann::json& json);

}  // namespace isoseam
