#pragma once
// A quick way to read the lines that make up nearly all of a log, in the very form in which the program
// writes them.

#include <cstdint>
#include <optional>
#include <string_view>
#include <variant>

#include "results_schema/records.h"

namespace isoseam {

// The start of a trial, of adaptation or its end: sound, and not kept.
struct PassingEvent {
    bool trial_started = false;
};

struct WrittenLine {
    std::uint64_t number = 0;
    std::variant<PassingEvent, SettingRecord, AnswerRecord> event;
};

// `body` as split_line() gives it. A result means that the line follows schema/settings.schema.json. Nothing
// says only that this way does not apply: another event, another order of names, a blank, an escape or a
// letter beyond ASCII, a value out of its range. Then the JSON library and the schema decide.
std::optional<WrittenLine> read_written_line(std::string_view body);

}  // namespace isoseam
