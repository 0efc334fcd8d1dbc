#pragma once
// The tables that statistics programs read: one row for each setting, or for each answer to a trial of a
// task. README.md lists the columns.
//
//     file << settings_table_header() << settings_table_rows(read_session_folder(path, ReadFor::records));

#include <string>

#include "results_schema/session_folder.h"
#include "results_schema/table_form.h"

namespace isoseam {

// Numbers have the fewest digits that read back as the same number.
std::string settings_table_header(TableForm form = TableForm::csv);
std::string settings_table_rows(const SessionFolder& folder, TableForm form = TableForm::csv);
std::string answers_table_header(TableForm form = TableForm::csv);
std::string answers_table_rows(const SessionFolder& folder, TableForm form = TableForm::csv);

}  // namespace isoseam
