// The table of settings, which statistics programs read: one row per setting, columns as README.md lists
// them.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <numeric>

#include "results_schema/session_folder.h"
#include "results_schema/table_row.h"

namespace isoseam {
namespace {

constexpr std::size_t kAxesWithColumns = 3;

void add_axes(TableRow& row, const SettingRecord& setting) {
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

TableRow row_of(const SessionFolder& folder, const SettingRecord& setting) {
    TableRow row;
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
