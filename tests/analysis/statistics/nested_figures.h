#pragma once
// The data sets of nested_effects.R and the figures that R computed from them.

#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "support/file_bytes.h"

namespace isoseam::test {

struct NestedRow {
    int participant = 0;
    int session = 0;
    double x = 0.0;
    double y = 0.0;
};

inline std::string nested_file(const std::string& name) {
    return ISOSEAM_SOURCE_DIR "/tests/analysis/statistics/" + name;
}

inline std::vector<std::vector<std::string>> comma_rows(const std::string& text) {
    std::vector<std::vector<std::string>> rows;
    std::istringstream lines(text);
    std::string line;
    std::getline(lines, line);  // the names of the columns
    while (std::getline(lines, line)) {
        rows.emplace_back();
        std::istringstream cells(line);
        for (std::string cell; std::getline(cells, cell, ',');)
            rows.back().push_back(cell);
    }
    return rows;
}

inline std::map<std::string, std::vector<NestedRow>> nested_data() {
    std::map<std::string, std::vector<NestedRow>> sets;
    for (const std::vector<std::string>& cells :
         comma_rows(file_bytes(nested_file("nested_effects_data.csv"))))
        sets[cells.at(0)].push_back(
            {std::stoi(cells.at(1)), std::stoi(cells.at(2)), std::stod(cells.at(3)), std::stod(cells.at(4))});
    return sets;
}

// The figures of each set, by name.
using NestedFigures = std::map<std::string, std::map<std::string, double>>;

inline NestedFigures nested_figures(const std::string& file) {
    NestedFigures figures;
    for (const std::vector<std::string>& cells : comma_rows(file_bytes(file)))
        if (cells.at(0) != "versions")
            figures[cells.at(0)][cells.at(1)] = std::stod(cells.at(2));
    return figures;
}

}  // namespace isoseam::test
