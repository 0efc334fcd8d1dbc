#pragma once
// What the columns of the tables mean, for files that are to be understood without this program.

#include <string>
#include <utility>
#include <vector>

namespace isoseam {

struct Column {
    std::string name;
    std::string description;
    std::string unit;  // SI, or words; "" where there is none
    std::vector<std::pair<std::string, std::string>>
        levels;  // the values that it may have and what they mean; empty: any
};

// In the order of settings_table_header() and answers_table_header(); spectra_columns(): spectra_table.h.
std::vector<Column> settings_columns();
std::vector<Column> answers_columns();

}  // namespace isoseam
