#pragma once
// What the columns of the tables mean, for files that must be understood without this program.
//
//     for (const Column& column : settings_columns()) print(column.name, column.unit, column.description);

#include <string>
#include <utility>
#include <vector>

namespace isoseam {

struct Column {
    std::string name;
    std::string description;
    std::string unit;  // an SI unit, or words; "" where there is none
    // The values that a cell may have, and what they mean. The list is empty where any value is possible.
    std::vector<std::pair<std::string, std::string>> levels;
};

// The columns come in the order of settings_table_header() and answers_table_header(). spectra_columns()
// stands in spectra_table.h.
std::vector<Column> settings_columns();
std::vector<Column> answers_columns();

}  // namespace isoseam
