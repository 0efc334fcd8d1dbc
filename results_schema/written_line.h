#pragma once
// A quick way to read the lines that make up nearly all of a log, in the very form in which the program
// writes them.
//
//     const auto line = read_written_line(split_line(text)->body);
//     if (line && std::holds_alternative<SettingRecord>(line->event)) ...

#include <cstdint>
#include <optional>
#include <string_view>
#include <variant>

#include "results_schema/answer_record.h"

namespace isoseam {

// The start of a trial, or the start or the end of adaptation. The event is sound, and its data are not kept.
struct PassingEvent {
    bool trial_started = false;
};

struct WrittenLine {
    std::uint64_t number = 0;
    std::variant<PassingEvent, SettingRecord, AnswerRecord> event;
};

// `body` is what split_line() gives. A result means that the line follows schema/settings.schema.json. If
// there is no result, only the quick way does not apply. The line may hold another event, another order of
// names, a blank, an escape, a letter beyond ASCII, or a value out of its range. Then the JSON library and
// the schema decide.
std::optional<WrittenLine> read_written_line(std::string_view body);

}  // namespace isoseam
