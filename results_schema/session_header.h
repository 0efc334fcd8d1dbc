#pragma once
// The content of session.json: everything that was fixed before the first stimulus. It is written once and
// never changed. Values are resolved: the header says which text, which hash and which seed, never "default".
//
//     const SessionHeader header = session_header_from_json(nlohmann::json::parse(text));

#include <array>
#include <cstdint>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "results_schema/record_fields.h"

namespace isoseam {

inline constexpr int kResultsVersion = 1;

// A file that was used, in full.
struct StoredText {
    std::string file;    // name without folders
    std::string sha256;  // of the text, lower-case hex
    std::string text;
};

// A source that lights a half.
struct SourceRecord {
    std::string name;             // as the rig calls it
    std::string calibration;      // a key of SessionHeader::calibrations
    int screen = -1;              // index of the screen; -1 in a rehearsal, which has no screen
    int bits = 8;                 // depth of the frame buffer, per primary
    std::string dither = "none";  // "none", "noise" or "ordered"
    // Where the field's centre was placed, from the upper left corner. A field that was not placed stands in
    // the middle of the screen.
    std::optional<std::array<double, 2>> centre_px{};

    static constexpr auto fields() {
        using Self = SourceRecord;
        return std::make_tuple(listed("name", &Self::name), listed("calibration", &Self::calibration),
                               listed("screen", &Self::screen), listed("bits", &Self::bits),
                               listed("dither", &Self::dither, {.required = false}),
                               listed("centre_px", &Self::centre_px));
    }
};

// How well the times of a screen's frames are known.
struct ClockRecord {
    // The moment that a time stamp is the time of. README.md lists the words.
    std::string stamp;
    // The period of the refreshes, measured before the first stimulus. With the stamp "paced" it is the
    // period that the program keeps.
    double period_ms = 0.0;
    double spread_ms = 0.0;     // standard deviation of the stamps about an even beat
    bool synchronised = false;  // whether frames wait for the screen
    // The measured time between two looks at keys and gamepads while frames run.
    std::optional<double> input_interval_ms;
    // The latency of the display, as the experimenter stated it. It is not known where it is missing.
    std::optional<double> latency_ms;

    static constexpr auto fields() {
        using Self = ClockRecord;
        return std::make_tuple(
            listed("stamp", &Self::stamp), listed("period_ms", &Self::period_ms),
            listed("spread_ms", &Self::spread_ms), listed("synchronised", &Self::synchronised),
            listed("input_interval_ms", &Self::input_interval_ms), listed("latency_ms", &Self::latency_ms));
    }
};

// A screen as the machine reported it.
struct ScreenRecord {
    int index = 0;
    std::string name;
    int width_px = 0;
    int height_px = 0;
    double refresh_hz = 0.0;  // 0 where the machine does not say
    int bits = 8;
    std::string video_driver, renderer, gl_version;
    std::optional<ClockRecord> clock = std::nullopt;  // only where frames were timed

    static constexpr auto fields() {
        using Self = ScreenRecord;
        return std::make_tuple(listed("index", &Self::index), listed("name", &Self::name),
                               listed("width_px", &Self::width_px), listed("height_px", &Self::height_px),
                               listed("refresh_hz", &Self::refresh_hz), listed("bits", &Self::bits),
                               listed("video_driver", &Self::video_driver),
                               listed("renderer", &Self::renderer), listed("gl_version", &Self::gl_version),
                               listed("clock", &Self::clock));
    }
};

// The nominal observer.
struct ObserverRecord {
    std::string description;  // "CIE 170-1:2006, field 2 deg, age 32 years (published table)"
    double field_deg = 2.0;
    double age_years = 32.0;
};

struct SessionHeader {
    std::string session;      // the name of its folder
    std::string participant;  // a code, see is_participant_code()
    std::string kind;         // "session" (a person), "rehearsal" (a simulated observer), "lecture" (a class)
    std::string started_utc;  // "2026-11-25T16:03:12.345Z"
    std::string program_version;
    std::uint64_t seed = 0;
    StoredText protocol;
    std::map<std::string, StoredText> calibrations;  // by their sha256
    std::map<std::string, StoredText> files;         // spectra of the protocol, by the path written there
    std::vector<SourceRecord> sources;
    std::vector<ScreenRecord> screens;
    ObserverRecord observer;  // the observer that the lights were specified for
    // The number of settings and answers together. It is an estimate where procedures end by themselves.
    int planned_settings = 0;
    bool demo_calibration = false;  // a calibration is invented or estimated: not for science
    // Plain words, such as what halves with the same primaries cannot show.
    std::vector<std::string> cautions;
    // The parameters of the simulated eye and hand of a rehearsal; null for others.
    nlohmann::json simulated_observer;
};

// Whether the text has between 1 and 32 letters, digits, '-' and '_'. Participants are known by a code, so
// that nothing that identifies a person is stored.
bool is_participant_code(const std::string& code);

// A number that is not finite is a programmer's fault (ISOSEAM_CHECK).
nlohmann::json to_json(const SessionHeader& header);
// InputError names the JSON pointer of each value that does not follow the schema.
SessionHeader session_header_from_json(const nlohmann::json& json);

}  // namespace isoseam
