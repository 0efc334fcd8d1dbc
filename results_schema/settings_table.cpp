// The table of settings, which statistics programs read: one row per setting, columns as README.md lists
// them.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <numeric>

#include "results_schema/session_folder.h"

namespace isoseam {
namespace {

constexpr std::size_t kAxesWithColumns = 3;

// RFC 4180: quoted where it holds a comma, a quote or a line break, quotes doubled.
std::string field(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) {
        return text;
    }
    std::string quoted = "\"";
    for (const char c : text) {
        quoted += c == '"' ? "\"\"" : std::string(1, c);
    }
    return quoted + "\"";
}

// Collects the columns of the header and of a row by the same calls, so that they cannot drift apart.
class Row {
  public:
    void text(const std::string& name, const std::string& value) {
        names_.push_back(name);
        values_.push_back(field(value));
    }
    template <typename Number>
    void number(const std::string& name, Number value) {
        text(name, fmt::format("{}", value));
    }
    template <typename List>
    void list(const std::string& name, const List& values) {
        text(name, fmt::format("{}", fmt::join(values, " ")));
    }
    void lms(const std::string& prefix, const std::array<double, 3>& values) {
        number(prefix + "_l", values[0]);
        number(prefix + "_m", values[1]);
        number(prefix + "_s", values[2]);
    }
    std::string names() const { return fmt::format("{}\r\n", fmt::join(names_, ",")); }
    std::string values() const { return fmt::format("{}\r\n", fmt::join(values_, ",")); }

  private:
    std::vector<std::string> names_;
    std::vector<std::string> values_;
};

void add_axes(Row& row, const SettingRecord& setting) {
    for (std::size_t axis = 0; axis < kAxesWithColumns; ++axis) {
        const bool present = axis < setting.axes.size();
        const std::string prefix = fmt::format("axis_{}", axis + 1);
        const auto number = [&](double value) { return present ? fmt::format("{}", value) : std::string(); };
        row.text(prefix + "_name", present ? setting.axes[axis] : "");
        row.text(prefix + "_start", number(present ? setting.start[axis] : 0.0));
        row.text(prefix + "_setting", number(present ? setting.setting[axis] : 0.0));
        row.text(prefix + "_path_length", number(present ? setting.path_length[axis] : 0.0));
    }
    const auto further = [](const auto& values) {
        const auto first =
            values.begin() + static_cast<std::ptrdiff_t>(std::min(kAxesWithColumns, values.size()));
        return std::vector(first, values.end());
    };
    row.text("further_axes", fmt::format("{}", fmt::join(further(setting.axes), ";")));
    row.list("further_starts", further(setting.start));
    row.list("further_settings", further(setting.setting));
    row.list("further_path_lengths", further(setting.path_length));
}

void add_half(Row& row, const std::string& prefix, const HalfRecord& half) {
    row.text(prefix + "_source", half.source);
    row.number(prefix + "_bits", half.bits);
    row.list(prefix + "_code", half.code);
    row.list(prefix + "_linear", half.linear);
    row.lms(prefix, half.lms);
}

Row row_of(const SessionFolder& folder, const SettingRecord& setting) {
    Row row;
    row.text("session", folder.header.session);
    row.text("state", to_string(folder.state));
    row.text("participant", folder.header.participant);
    row.text("kind", folder.header.kind);
    row.text("demo_calibration", folder.header.demo_calibration ? "true" : "false");
    row.number("trial", setting.trial);
    row.text("condition", setting.condition);
    row.number("repeat", setting.repeat);
    row.text("adjusted_half", setting.adjusted_half);
    row.text("reference_half", setting.reference_half);
    row.text("space", setting.space);
    add_axes(row, setting);
    row.lms("contrast", setting.contrast_from_predicted);
    row.number("duration_s", setting.duration_s);
    row.number("steps", setting.steps);
    row.number("refused_steps",
               std::accumulate(setting.refused_steps.begin(), setting.refused_steps.end(), std::int64_t{0}));
    row.number("start_shrunk_to", setting.start_shrunk_to);
    add_half(row, "adjusted", setting.adjusted);
    add_half(row, "reference", setting.reference);
    add_half(row, "start_adjusted", setting.start_adjusted);
    row.lms("target", setting.target_lms);
    row.lms("predicted", setting.predicted_lms);
    const auto count = [&](std::int64_t FramesRecord::*frames) {
        return setting.frames ? fmt::format("{}", *setting.frames.*frames) : std::string();
    };
    row.text("frames_shown", count(&FramesRecord::shown));
    row.text("frames_late", count(&FramesRecord::late));
    row.text("frames_dropped", count(&FramesRecord::dropped));
    return row;
}

}  // namespace

std::string settings_table_header() {
    return row_of({}, {}).names();
}

std::string settings_table_rows(const SessionFolder& folder) {
    std::string rows;
    for (const SettingRecord& setting : folder.settings) {
        rows += row_of(folder, setting).values();
    }
    return rows;
}

}  // namespace isoseam
