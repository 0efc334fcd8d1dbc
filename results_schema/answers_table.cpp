// The table of answers to the trials of tasks: one row per answer, columns as README.md lists them.

#include "results_schema/table_row.h"

namespace isoseam {
namespace {

std::string truth(bool value) {
    return value ? "true" : "false";
}

void add_row(TableRow row, const SessionFolder& folder, const AnswerRecord& answer) {
    add_session(row, folder);
    row.number("trial", answer.trial);
    row.text("condition", answer.condition);
    row.number("repeat", answer.repeat);
    row.number("run", answer.run);
    row.number("track", answer.track);
    row.text("form", answer.form);
    row.text("space", answer.space);
    for (std::size_t axis = 0; axis < kAxisPrefixes.size(); ++axis) {
        const std::string_view prefix = kAxisPrefixes[axis];
        if (axis < answer.axes.size()) {
            row.text(prefix, "_name", answer.axes[axis]);
            row.number(prefix, "_level", answer.level[axis]);
        } else {
            row.nothing(prefix, "_name");
            row.nothing(prefix, "_level");
        }
    }
    row.text("target", truth(answer.target));
    row.text("practice", truth(answer.practice));
    row.text("catch_trial", truth(answer.catch_trial));
    row.number("places", answer.places);
    row.text("target_place", answer.target_place.value_or(""));
    row.text("answer", answer.answer);
    row.number("answer_value", answer.answer_value);
    row.text("right", answer.right ? truth(*answer.right) : "");
    row.number("duration_s", answer.duration_s);
    add_half(row, "shown", answer.shown);
    add_half(row, "reference", answer.reference);
    add_frames(row, answer.frames);
    row.number("ignored_presses", answer.ignored_presses);
    row.end();
}

}  // namespace

std::string answers_table_header(TableForm form) {
    std::string names;
    add_row({names, form, TableRow::Line::names}, {}, {});
    return names;
}

std::string answers_table_rows(const SessionFolder& folder, TableForm form) {
    std::string rows;
    rows.reserve(folder.answers.size() * kUsualRowBytes);
    for (const AnswerRecord& answer : folder.answers) {
        add_row({rows, form, TableRow::Line::values}, folder, answer);
    }
    return rows;
}

}  // namespace isoseam
