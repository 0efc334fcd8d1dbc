#pragma once
// The examples of protocols/README.md: the first is a whole protocol, the others are pieces of one.

#include <set>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "protocols/language/protocol.h"
#include "support/file_bytes.h"

namespace isoseam::test {

// Files beside it are found as from the folder of ready protocols.
inline const std::string kReadmeFile = ISOSEAM_SOURCE_DIR "/protocols/library/example.yaml";

inline std::vector<std::string> readme_pieces() {
    const std::string readme = file_bytes(ISOSEAM_SOURCE_DIR "/protocols/README.md");
    const std::string fence = "```yaml\n";
    std::vector<std::string> pieces;
    for (std::size_t start = readme.find(fence); start != std::string::npos;
         start = readme.find(fence, start)) {
        start += fence.size();
        pieces.push_back(readme.substr(start, readme.find("```", start) - start));
    }
    return pieces;
}

// Keys at the top of a file with the lines that belong to each.
using TopSections = std::vector<std::pair<std::string, std::string>>;

inline TopSections top_sections(const std::string& text) {
    TopSections sections;
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        if (!line.empty() && line.front() >= 'a' && line.front() <= 'z')
            sections.emplace_back(line.substr(0, line.find(':')), "");
        if (!sections.empty() && line.find("# ") != 0)
            sections.back().second += line + "\n";
    }
    return sections;
}

// The piece in the place of the whole's keys of the same name, on one screen.
inline std::string with_piece(const std::string& whole, const std::string& piece) {
    const TopSections replaced = top_sections(piece);
    std::set<std::string> left_out{"rig"};
    bool has_halves = piece.find("parts: spot") == std::string::npos;
    for (const auto& [key, lines] : replaced) {
        left_out.insert(key);
        if (key == "blocks")
            left_out.insert({"adjustment", "conditions", "order", "rest_every", "seconds_per_setting"});
        if (key == "task" || key == "flicker_null")
            left_out.insert({"adjustment", "seconds_per_setting"});
    }
    std::string text;
    for (const auto& [key, lines] : top_sections(whole)) {
        if (left_out.count(key) == 0)
            text += lines;
    }
    text += "rig:\n  distance: 600 mm\n  sources: {lcd: ../../calibration/demo/demo_lcd.yaml}\n";
    text += has_halves ? "  left: lcd\n  right: lcd\n" : "";
    for (const auto& [key, lines] : replaced)
        text += lines;
    return text;
}

// Whole protocols, each piece in the first one.
inline std::vector<std::string> readme_protocols() {
    const std::vector<std::string> pieces = readme_pieces();
    std::vector<std::string> protocols{pieces.front()};
    for (std::size_t i = 1; i < pieces.size(); ++i)
        protocols.push_back(with_piece(pieces.front(), pieces[i]));
    return protocols;
}

}  // namespace isoseam::test
