// The table of answers to the trials of tasks: one row per answer, columns as README.md lists them.

#include "results_schema/table_row.h"

namespace isoseam {
namespace {

constexpr std::size_t kMostDimensions = 3;

std::string truth(bool value) {
    return value ? "true" : "false";
}

TableRow row_of(const SessionFolder& folder, const AnswerRecord& answer) {
    TableRow row;
    add_session(row, folder);
    row.number("trial", answer.trial);
    row.text("condition", answer.condition);
    row.number("repeat", answer.repeat);
    row.number("run", answer.run);
    row.number("track", answer.track);
    row.text("form", answer.form);
    row.text("space", answer.space);
    for (std::size_t i = 0; i < kMostDimensions; ++i) {
        const bool present = i < answer.axes.size();
        row.text(fmt::format("axis_{}_name", i + 1), present ? answer.axes[i] : "");
        row.text(fmt::format("axis_{}_level", i + 1), present ? fmt::format("{}", answer.level[i]) : "");
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
    return row;
}

}  // namespace

std::string answers_table_header() {
    return row_of({}, {}).names();
}

std::string answers_table_rows(const SessionFolder& folder) {
    std::string rows;
    for (const AnswerRecord& answer : folder.answers) {
        rows += row_of(folder, answer).values();
    }
    return rows;
}

}  // namespace isoseam
