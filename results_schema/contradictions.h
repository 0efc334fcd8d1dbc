#pragma once
// Finds what can be wrong with a record that follows its schema, because a schema cannot compare one value
// with another.
//
//     if (const std::string wrong = contradiction(setting); !wrong.empty()) add_fault(wrong);

#include <string>

#include "results_schema/answer_record.h"
#include "results_schema/session_header.h"

namespace isoseam {

// Each function returns the first thing that does not fit, or "".
std::string contradiction(const SessionHeader& header);
std::string contradiction(const SettingRecord& setting);
std::string contradiction(const AnswerRecord& answer);

}  // namespace isoseam
