#include "results_schema/table_columns.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "base/errors.h"
#include "results_schema/records_table.h"
#include "results_schema/spectra_table.h"

namespace isoseam {
namespace {

constexpr std::string_view kFraction = "1 (a fraction)";
constexpr std::string_view kExcitation = "W/(sr m2)";
constexpr std::string_view kOfTheSpace = "as column space tells: 1 (fractions, or differences of l and s)";

struct Meaning {
    std::string_view name;
    std::string_view unit;
    std::string_view description;
};

constexpr std::array kMeanings = std::to_array<Meaning>({
    {"session", "", "Name of the session: the participant's code and when it began, in UTC"},
    {"state", "", "How the session ended"},
    {"participant", "", "Code of the participant; nothing that identifies a person is kept"},
    {"kind", "", "Who made the settings or gave the answers"},
    {"demo_calibration", "",
     "Whether a calibration is invented demo data or an estimate, so that the row is not for science"},
    {"trial", "", "Number of the trial in the order shown, from 1"},
    {"condition", "", "Name of the condition in the protocol"},
    {"repeat", "", "How many times the condition has been shown, this one included, from 1"},
    {"adjusted_half", "", "Half, or place, of the light that was adjusted"},
    {"reference_half", "", "Half, or place, of the light that was to be matched"},
    {"space", "", "Space of the axes, and with it the unit of coordinates along them"},
    {"further_axes", "", "Names of the axes from the fourth on, with ; between"},
    {"further_starts", kOfTheSpace, "Starting points along the axes from the fourth on, with blanks between"},
    {"further_settings", kOfTheSpace, "Settings along the axes from the fourth on, with blanks between"},
    {"further_path_lengths", kOfTheSpace, "Ways along the axes from the fourth on, with blanks between"},
    {"duration_s", "s", "From the first frame of the field, or of the stimulus, to acceptance or answer"},
    {"steps", "count", "Steps taken on all axes"},
    {"refused_steps", "count",
     "Steps asked for that would have left the gamut and were not taken, on all axes"},
    {"start_shrunk_to", kFraction,
     "1: the random starting point was used as drawn; less: it lay out of gamut and was moved to this share "
     "of its "
     "distance from the predicted match"},
    {"frames_shown", "count", "Frames shown of a stimulus that is timed by frames"},
    {"frames_late", "count", "Frames that came more than half a period after they were due"},
    {"frames_dropped", "count", "Refreshes that showed an old frame once more since the due one was late"},
    {"ignored_presses", "count",
     "Presses at the wrong moment, or of keys that mean nothing, since the record before"},
    {"half", "", "Half, or place, of the light"},
    {"wavelength_nm", "nm", "Wavelength"},
    {"radiance_w_sr_m2_nm", "W/(sr m2 nm)",
     "Radiance of the light there, by the calibration of its source and what it was driven with"},
    {"run", "", "Number of the run of the procedure in the session, from 1"},
    {"track", "", "Of interleaved tracks of the run, from 0"},
    {"form", "", "What was asked"},
    {"target", "", "Whether there was a target"},
    {"practice", "", "Whether the trial was for practice"},
    {"catch_trial", "", "Whether the trial had no target, to see how the observer answers to nothing"},
    {"target_place", "", "Place, or interval, of the target"},
    {"places", "count", "Places that were compared; 1 where the question is not about a place"},
    {"answer", "", "yes, no, same, different, the name of a place, or a category as a number"},
    {"answer_value", "", "Of a place its index from 0, of a rating the category from 1, else 0"},
    {"right", "", "Whether the answer was right; nothing where nothing is right or wrong"},
});

constexpr std::array kOfAnAxis = std::to_array<Meaning>({
    {"name", "", "Name of axis {} of the adjustment, or direction {} of the level"},
    {"start", kOfTheSpace, "Starting point along axis {}; 0 is the predicted match"},
    {"setting", kOfTheSpace, "Where the observer accepted, along axis {}; 0 is the predicted match"},
    {"path_length", kOfTheSpace, "Sum of the sizes of the steps taken along axis {}"},
    {"level", kOfTheSpace, "Level along direction {} of the light that was shown; 0 is the predicted match"},
});

constexpr std::array kOfALight = std::to_array<Meaning>({
    {"source", "", "name in the rig of the source that lit it"},
    {"bits", "bit", "depth of the frame buffer per primary"},
    {"code", "", "what went into the frame buffer, one code per primary, with blanks between"},
    {"linear", kFraction,
     "what was shown, one share of the light at full drive per primary, with blanks between"},
    {"l", kExcitation, "excitation of the L cones of the nominal observer"},
    {"m", kExcitation, "excitation of the M cones of the nominal observer"},
    {"s", kExcitation, "excitation of the S cones of the nominal observer"},
});

constexpr std::array kLights = std::to_array<Meaning>({
    {"start_adjusted", "", "Adjusted half at the start"},
    {"adjusted", "", "Adjusted half when it was accepted"},
    {"reference", "", "Reference"},
    {"shown", "", "Light at the level"},
    {"target", kExcitation, "Asked for on the adjusted half, before rounding to codes"},
    {"predicted", kExcitation, "Of a match as predicted"},
    {"contrast", kFraction, "(adjusted - reference) / reference, distance from the predicted match"},
});

std::vector<std::pair<std::string, std::string>> levels_of(std::string_view name) {
    if (name == "state") {
        return {{"complete", "ended, all planned settings made"},
                {"left early", "ended before that by somebody's wish"},
                {"interrupted", "no end: the program was stopped or the power failed"},
                {"damaged", "a file was changed or is not in form; these are the rows before the fault"}};
    }
    if (name == "kind") {
        return {{"session", "a person"}, {"rehearsal", "a simulated observer"}};
    }
    if (name == "space") {
        return {{"cone_contrast", "contrast of L, M, S against the predicted match, a fraction"},
                {"macleod_boynton", "difference of l and of s (CIE 170-2), relative difference of luminance"},
                {"primaries", "difference of the linear drive, a fraction of the primary's light"}};
    }
    if (name == "form") {
        return {{"yes_no", "is there a target?"},
                {"place", "where, or when, was the target?"},
                {"same_different", "are they the same?"},
                {"rating", "a category"}};
    }
    for (const std::string_view truth : {"demo_calibration", "target", "practice", "catch_trial", "right"}) {
        if (name == truth) {
            return {{"true", "yes"}, {"false", "no"}};
        }
    }
    return {};
}

template <std::size_t Count>
const Meaning* find(const std::array<Meaning, Count>& meanings, std::string_view name) {
    const auto* const found = std::find_if(meanings.begin(), meanings.end(),
                                           [&](const Meaning& meaning) { return meaning.name == name; });
    return found == meanings.end() ? nullptr : found;
}

// The meaning of a column of one axis. Of "axis_2_start" it is that of "start", and the axis is "2".
const Meaning* axis_part(std::string_view name, std::string_view& axis) {
    constexpr std::string_view kPrefix = "axis_";
    if (!name.starts_with(kPrefix) || name.size() < kPrefix.size() + 2) {
        return nullptr;
    }
    axis = name.substr(kPrefix.size(), 1);
    return find(kOfAnAxis, name.substr(kPrefix.size() + 2));
}

// The meaning of a column of one light. Of "adjusted_linear" it is that of "linear", and the light is
// `adjusted`.
const Meaning* light_part(std::string_view name, const Meaning*& light) {
    const std::size_t end = name.rfind('_');
    if (end == std::string_view::npos) {
        return nullptr;
    }
    light = find(kLights, name.substr(0, end));
    return light == nullptr ? nullptr : find(kOfALight, name.substr(end + 1));
}

Column column_of(const std::string& name) {
    if (const Meaning* meaning = find(kMeanings, name)) {
        return {name, std::string(meaning->description), std::string(meaning->unit), levels_of(name)};
    }
    std::string_view axis;
    if (const Meaning* meaning = axis_part(name, axis)) {
        return {name,
                fmt::format(fmt::runtime(meaning->description), axis, axis),
                std::string(meaning->unit),
                {}};
    }
    const Meaning* light = nullptr;
    const Meaning* part = light_part(name, light);
    ISOSEAM_CHECK(part != nullptr, name);
    // What is not a light itself, such as a contrast, has a unit of its own.
    const std::string_view unit = light->unit.empty() ? part->unit : light->unit;
    return {name, fmt::format("{}: {}", light->description, part->description), std::string(unit), {}};
}

std::vector<Column> columns_of(std::string_view header) {
    std::vector<Column> columns;
    for (std::size_t begin = 0; begin < header.size();) {
        const std::size_t end = header.find_first_of(",\r", begin);
        columns.push_back(column_of(std::string(header.substr(begin, end - begin))));
        begin = header[end] == ',' ? end + 1 : header.size();
    }
    return columns;
}

}  // namespace

std::vector<Column> settings_columns() {
    return columns_of(settings_table_header());
}

std::vector<Column> spectra_columns() {
    return columns_of(spectra_table_header());
}

std::vector<Column> answers_columns() {
    return columns_of(answers_table_header());
}

}  // namespace isoseam
