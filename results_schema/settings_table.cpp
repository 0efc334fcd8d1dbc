// The table of settings, which statistics programs read: one row per setting, columns as README.md lists
// them.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <numeric>

#include "results_schema/session_folder.h"
#include "results_schema/table_row.h"

namespace isoseam {
namespace {

std::string further_names(const std::vector<std::string>& axes) {
    return axes.size() > kAxisPrefixes.size()
               ? fmt::format("{}", fmt::join(axes.begin() + kAxisPrefixes.size(), axes.end(), ";"))
               : std::string();
}

void add_axes(TableRow& row, const SettingRecord& setting) {
    for (std::size_t axis = 0; axis < kAxisPrefixes.size(); ++axis) {
        const std::string_view prefix = kAxisPrefixes[axis];
        if (axis < setting.axes.size()) {
            row.text(prefix, "_name", setting.axes[axis]);
            row.number(prefix, "_start", setting.start[axis]);
            row.number(prefix, "_setting", setting.setting[axis]);
            row.number(prefix, "_path_length", setting.path_length[axis]);
        } else {
            for (const char* name : {"_name", "_start", "_setting", "_path_length"}) {
                row.nothing(prefix, name);
            }
        }
    }
    row.text("further_axes", further_names(setting.axes));
    row.list("further_", "starts", setting.start, kAxisPrefixes.size());
    row.list("further_", "settings", setting.setting, kAxisPrefixes.size());
    row.list("further_", "path_lengths", setting.path_length, kAxisPrefixes.size());
}

void add_row(TableRow row, const SessionFolder& folder, const SettingRecord& setting) {
    add_session(row, folder);
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
    add_frames(row, setting.frames);
    row.number("ignored_presses", setting.ignored_presses);
    row.end();
}

}  // namespace

std::string settings_table_header(TableForm form) {
    std::string names;
    add_row({names, form, TableRow::Line::names}, {}, {});
    return names;
}

std::string settings_table_rows(const SessionFolder& folder, TableForm form) {
    std::string rows;
    rows.reserve(folder.settings.size() * kUsualRowBytes);
    for (const SettingRecord& setting : folder.settings) {
        add_row({rows, form, TableRow::Line::values}, folder, setting);
    }
    return rows;
}

}  // namespace isoseam
