#pragma once
// A row of a table for statistics programs, and the columns that all of them have.

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "results_schema/number_text.h"
#include "results_schema/session_folder.h"

namespace isoseam {

inline constexpr std::size_t kUsualRowBytes = 1000;

// As the form asks. csv, RFC 4180: quoted where it holds a comma, a quote or a line break, quotes doubled.
// tsv: the same for a tab; what is not there is "n/a".
void append_field(std::string& out, std::string_view text, TableForm form);

// Writes the names of the header and the values of a row by the same calls, so that they cannot drift apart.
// The name of a column is given in two parts, so that no row has to join them.
class TableRow {
  public:
    enum class Line { names, values };

    TableRow(std::string& out, TableForm form, Line line)
        : out_(out), form_(form), line_(line), between_(form == TableForm::csv ? ',' : '\t') {}

    void text(std::string_view prefix, std::string_view name, std::string_view value) {
        if (wants_value(prefix, name)) {
            flush();
            append_field(out_, value, form_);
            out_ += between_;
        }
    }
    void text(std::string_view name, std::string_view value) { text({}, name, value); }
    template <typename Number>
    void number(std::string_view prefix, std::string_view name, Number value) {
        if (wants_value(prefix, name)) {
            add_number(value, between_);
        }
    }
    template <typename Number>
    void number(std::string_view name, Number value) {
        number({}, name, value);
    }
    void nothing(std::string_view prefix, std::string_view name) { text(prefix, name, {}); }
    // Blanks between the numbers from `first` on.
    template <typename List>
    void list(std::string_view prefix, std::string_view name, const List& values, std::size_t first = 0) {
        if (values.size() <= first) {
            nothing(prefix, name);
        } else if (wants_value(prefix, name)) {
            for (std::size_t i = first; i < values.size(); ++i) {
                add_number(values[i], i + 1 < values.size() ? ' ' : between_);
            }
        }
    }
    void lms(std::string_view prefix, const std::array<double, 3>& values) {
        number(prefix, "_l", values[0]);
        number(prefix, "_m", values[1]);
        number(prefix, "_s", values[2]);
    }
    void end() {
        flush();
        out_.pop_back();  // what stands after the last field
        out_ += form_ == TableForm::csv ? "\r\n" : "\n";
    }

  private:
    // Else the name was written.
    bool wants_value(std::string_view prefix, std::string_view name) {
        if (line_ == Line::names) {
            out_.append(prefix).append(name) += between_;
        }
        return line_ == Line::values;
    }
    template <typename Number>
    void add_number(Number value, char after) {
        if (used_ + kNumberRoom >= waiting_.size()) {
            flush();
        }
        char* end = write_number(&waiting_[used_], value);
        *end++ = after;
        used_ = static_cast<std::size_t>(end - waiting_.data());
    }
    void flush() {
        out_.append(waiting_.data(), used_);
        used_ = 0;
    }

    std::string& out_;
    TableForm form_;
    Line line_;
    char between_;
    std::array<char, 512> waiting_{};  // numbers that are not yet in `out_`
    std::size_t used_ = 0;
};

inline constexpr std::array<std::string_view, 3> kAxisPrefixes{"axis_1", "axis_2", "axis_3"};

// Whose: session, state, participant, kind, demo_calibration.
void add_session(TableRow& row, const SessionFolder& folder);
void add_half(TableRow& row, std::string_view prefix, const HalfRecord& half);
void add_frames(TableRow& row, const std::optional<FramesRecord>& frames);

}  // namespace isoseam
