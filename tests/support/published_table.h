#pragma once
// Reads a table of tests/published/: '#' lines with the source, a header row, rows of numbers; an empty cell
// is NaN.

#include <catch2/catch.hpp>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace isoseam::test {

using PublishedRows = std::vector<std::vector<double>>;

inline PublishedRows read_table(const std::string& path) {
    std::ifstream file(path);
    REQUIRE(file.good());
    PublishedRows rows;
    bool header_seen = false;
    for (std::string line; std::getline(file, line);) {
        if (line.starts_with('#')) {
            continue;
        }
        if (!header_seen) {
            header_seen = true;
            continue;
        }
        std::vector<double> row;
        for (std::size_t begin = 0; begin <= line.size();) {
            const std::size_t end = std::min(line.find(',', begin), line.size());
            const std::string cell = line.substr(begin, end - begin);
            row.push_back(cell.empty() ? std::numeric_limits<double>::quiet_NaN() : std::stod(cell));
            begin = end + 1;
        }
        rows.push_back(row);
    }
    return rows;
}

inline std::string published_path(const std::string& name) {
    return std::string(ISOSEAM_SOURCE_DIR) + "/tests/published/" + name;
}

inline PublishedRows published_table(const std::string& name) {
    return read_table(published_path(name));
}

inline nlohmann::json published_json(const std::string& name) {
    std::ifstream file(published_path(name));
    REQUIRE(file.good());
    return nlohmann::json::parse(file);
}

}  // namespace isoseam::test
