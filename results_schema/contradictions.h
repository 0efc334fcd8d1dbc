#pragma once
// What is wrong with a record though it follows its schema, which cannot compare one value with another.

#include <string>

#include "results_schema/records.h"

namespace isoseam {

// "" or the first thing that does not fit.
std::string contradiction(const SessionHeader& header);
std::string contradiction(const SettingRecord& setting);
std::string contradiction(const AnswerRecord& answer);

}  // namespace isoseam
