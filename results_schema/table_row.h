#pragma once
// Writes a row of a table for statistics programs, or its header.
//
//     TableRow row(text, TableForm::csv, TableRow::Line::values);
//     row.text("condition", setting.condition);
//     row.number("trial", setting.trial);
//     row.end();

#include <array>
#include <string>
#include <string_view>

#include "results_schema/number_text.h"
#include "results_schema/table_form.h"

namespace isoseam {

// Appends a cell as the form asks. In csv a text with a comma, a quote or a line break is quoted, and its
// quotes are doubled (RFC 4180). In tsv the same holds for a tab, and an empty text becomes "n/a".
void append_field(std::string& out, std::string_view text, TableForm form);

// The same calls write the names of the header and the values of a row, so that they cannot drift apart. A
// column is named by one part, or by two with '_' between them, which are joined for the header only.
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
    // The numbers from `first` on, with blanks between them.
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
        number(prefix, "l", values[0]);
        number(prefix, "m", values[1]);
        number(prefix, "s", values[2]);
    }
    void end() {
        flush();
        out_.pop_back();  // what stands after the last field
        out_ += form_ == TableForm::csv ? "\r\n" : "\n";
    }

  private:
    // In a header this writes the name instead.
    bool wants_value(std::string_view prefix, std::string_view name) {
        if (line_ == Line::names) {
            out_.append(prefix).append(prefix.empty() ? "" : "_").append(name) += between_;
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
    std::array<char, 512> waiting_{};  // numbers that are not in `out_` yet
    std::size_t used_ = 0;
};

}  // namespace isoseam
