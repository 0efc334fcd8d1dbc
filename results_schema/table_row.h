#pragma once
// A row of a table for statistics programs, and the columns that all of them have.

#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "results_schema/session_folder.h"

namespace isoseam {

// RFC 4180: quoted where it holds a comma, a quote or a line break, quotes doubled.
std::string quoted_field(const std::string& text);

// Collects the columns of the header and of a row by the same calls, so that they cannot drift apart.
class TableRow {
  public:
    void text(const std::string& name, const std::string& value) {
        names_.push_back(name);
        values_.push_back(quoted_field(value));
    }
    template <typename Number>
    void number(const std::string& name, Number value) {
        text(name, fmt::format("{}", value));
    }
    template <typename List>
    void list(const std::string& name, const List& values) {
        text(name, fmt::format("{}", fmt::join(values, " ")));
    }
    void lms(const std::string& prefix, const std::array<double, 3>& values) {
        number(prefix + "_l", values[0]);
        number(prefix + "_m", values[1]);
        number(prefix + "_s", values[2]);
    }
    std::string names() const { return fmt::format("{}\r\n", fmt::join(names_, ",")); }
    std::string values() const { return fmt::format("{}\r\n", fmt::join(values_, ",")); }

  private:
    std::vector<std::string> names_;
    std::vector<std::string> values_;
};

// Whose: session, state, participant, kind, demo_calibration.
void add_session(TableRow& row, const SessionFolder& folder);
void add_half(TableRow& row, const std::string& prefix, const HalfRecord& half);
void add_frames(TableRow& row, const std::optional<FramesRecord>& frames);

}  // namespace isoseam
