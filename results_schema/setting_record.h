#pragma once
// The record of one accepted setting.
//
//     log.append(time_s, "setting", to_json(setting));
//     const SettingRecord again = setting_from_json(event.data);

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "results_schema/stimulus_record.h"

namespace isoseam {

inline constexpr auto kSpaceNames =
    std::to_array<std::string_view>({"cone_contrast", "macleod_boynton", "primaries"});

// A coordinate along an axis is relative to the predicted match, which is 0, in the unit of the space.
struct SettingRecord {
    int trial = 0;               // number in the order shown, from 1
    std::string condition;       // its name in the protocol
    int repeat = 0;              // how many times the condition has been shown, this one included
    std::string adjusted_half;   // one of kHalfNames
    std::string reference_half;  // one of kHalfNames
    std::string space;           // one of kSpaceNames
    std::vector<std::string> axes;
    Few<double> start;
    Few<double> setting;
    Few<double> path_length;  // for each axis the sum of the sizes of the steps taken
    int steps = 0;            // the steps taken on all axes
    Few<int> refused_steps;   // for each axis the steps that would have left the gamut, which were not taken
    // 1 where the random start was used as drawn. Less where it lay out of gamut: it was moved to this share
    // of its distance from the predicted match.
    double start_shrunk_to = 1.0;
    double duration_s = 0.0;  // from the first frame of the stimulus to acceptance
    HalfRecord adjusted;      // as accepted
    HalfRecord reference;
    HalfRecord start_adjusted;  // the adjusted half at the start
    // The excitations that were asked for on the adjusted half, before rounding to codes.
    std::array<double, 3> target_lms{};
    // The excitations of a match by the nominal observer, which are those of the reference half by its codes.
    std::array<double, 3> predicted_lms{};
    // (adjusted - reference) / reference, by the codes of both halves.
    std::array<double, 3> contrast_from_predicted{};
    std::optional<FramesRecord> frames;  // only where the stimulus was timed by frames
    int ignored_presses = 0;             // presses at the wrong moment, or of keys that mean nothing

    static constexpr auto fields() {
        using Self = SettingRecord;
        return std::tuple{
            listed("trial", &Self::trial, kNumbered),
            listed("condition", &Self::condition),
            listed("repeat", &Self::repeat, kNumbered),
            listed("adjusted_half", &Self::adjusted_half, {.words = kHalfNames}),
            listed("reference_half", &Self::reference_half, {.words = kHalfNames}),
            listed("space", &Self::space, {.words = kSpaceNames}),
            listed("axes", &Self::axes, {.axis_column = "name", .further_column = "axes"}),
            listed("start", &Self::start, {.axis_column = "start", .further_column = "starts"}),
            listed("setting", &Self::setting, {.axis_column = "setting", .further_column = "settings"}),
            listed("path_length", &Self::path_length,
                   {.least = 0, .axis_column = "path_length", .further_column = "path_lengths"}),
            listed("contrast_from_predicted", &Self::contrast_from_predicted, {.column = "contrast"}),
            listed("duration_s", &Self::duration_s, {.least = 0}),
            listed("steps", &Self::steps, kCounted),
            listed("refused_steps", &Self::refused_steps,
                   {.least = 0, .most = kMostOfACount, .summed = true}),
            listed("start_shrunk_to", &Self::start_shrunk_to, {.least = 0, .most = 1}),
            listed("adjusted", &Self::adjusted),
            listed("reference", &Self::reference),
            listed("start_adjusted", &Self::start_adjusted),
            listed("target_lms", &Self::target_lms, {.column = "target"}),
            listed("predicted_lms", &Self::predicted_lms, {.column = "predicted"}),
            listed("frames", &Self::frames),
            listed("ignored_presses", &Self::ignored_presses,
                   {.least = 0, .most = kMostOfACount, .required = false}),
        };
    }
};

// A number that is not finite is a programmer's fault (ISOSEAM_CHECK).
nlohmann::json to_json(const SettingRecord& setting);
// Returns the same as text on one line, with the names in the order of the alphabet.
std::string json_text(const SettingRecord& setting);
// InputError names the JSON pointer of each value that does not follow the schema.
SettingRecord setting_from_json(const nlohmann::json& json);

}  // namespace isoseam
