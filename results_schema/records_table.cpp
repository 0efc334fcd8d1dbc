#include "results_schema/records_table.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <iterator>
#include <numeric>
#include <optional>
#include <type_traits>

#include "results_schema/table_row.h"

namespace isoseam {
namespace {

constexpr std::size_t kUsualRowBytes = 1000;
constexpr std::array<std::string_view, 3> kAxisPrefixes{"axis_1", "axis_2", "axis_3"};

// The cell, or cells, of one value. A name in two parts spares each row from joining them.
template <class Value>
void add(TableRow& row, std::string_view prefix, std::string_view column, const Value& value) {
    if constexpr (std::is_same_v<Value, bool>) {
        row.text(prefix, column, value ? "true" : "false");
    } else if constexpr (std::is_arithmetic_v<Value>) {
        row.number(prefix, column, value);
    } else if constexpr (std::is_same_v<Value, std::string>) {
        row.text(prefix, column, value);
    } else if constexpr (std::is_same_v<Value, std::array<double, 3>>) {
        row.lms(prefix.empty() ? column : prefix, value);  // adjusted_l, target_l
    } else if constexpr (std::is_same_v<Value, HalfRecord>) {
        for_each_field<HalfRecord>([&](auto field) {
            if constexpr (field.kTerms.in_table) {
                add(row, column, field.kColumn, field.of(value));
            }
        });
    } else if constexpr (std::is_same_v<Value, std::optional<FramesRecord>>) {
        for_each_field<FramesRecord>([&](auto field) {
            add(row, column, field.kColumn, value ? std::optional(field.of(*value)) : std::nullopt);
        });
    } else if constexpr (!kIsOptional<Value>) {
        row.list(prefix, column, value);
    } else if (value) {
        add(row, prefix, column, *value);
    } else {
        row.nothing(prefix, column);
    }
}

// The cell of the items from the fourth axis on.
void add_further(TableRow& row, std::string_view column, const Few<double>& numbers) {
    row.list("further", column, numbers, kAxisPrefixes.size());
}
void add_further(TableRow& row, std::string_view column, const std::vector<std::string>& names) {
    const auto from = names.begin() + std::min(std::ssize(names), std::ssize(kAxisPrefixes));
    row.text("further", column, fmt::format("{}", fmt::join(from, names.end(), ";")));
}

// The columns of all lists with one item per axis, axis after axis.
template <class Record>
void add_axes(TableRow& row, const Record& record) {
    for (std::size_t axis = 0; axis < kAxisPrefixes.size(); ++axis) {
        for_each_field<Record>([&](auto field) {
            if constexpr (!field.kTerms.axis_column.empty()) {
                if (axis < record.axes.size()) {
                    add(row, kAxisPrefixes[axis], field.kTerms.axis_column, field.of(record)[axis]);
                } else {
                    row.nothing(kAxisPrefixes[axis], field.kTerms.axis_column);
                }
            }
        });
    }
    for_each_field<Record>([&](auto field) {
        if constexpr (!field.kTerms.further_column.empty()) {
            add_further(row, field.kTerms.further_column, field.of(record));
        }
    });
}

template <class Record>
void add_row(TableRow row, const SessionFolder& folder, const Record& record) {
    row.text("session", folder.header.session);
    row.text("state", to_string(folder.state));
    row.text("participant", folder.header.participant);
    row.text("kind", folder.header.kind);
    add(row, {}, "demo_calibration", folder.header.demo_calibration);
    for_each_field<Record>([&](auto field) {
        const auto& value = field.of(record);
        if constexpr (field.kName == "axes") {
            add_axes(row, record);
        } else if constexpr (field.kTerms.summed) {
            row.number(field.kColumn, std::accumulate(value.begin(), value.end(), std::int64_t{0}));
        } else if constexpr (field.kTerms.in_table && field.kTerms.axis_column.empty()) {
            add(row, {}, field.kColumn, value);
        }
    });
    row.end();
}

template <class Record>
std::string header(TableForm form) {
    std::string names;
    add_row<Record>({names, form, TableRow::Line::names}, {}, {});
    return names;
}

template <class Record>
std::string rows(const SessionFolder& folder, const std::vector<Record>& records, TableForm form) {
    std::string text;
    text.reserve(records.size() * kUsualRowBytes);
    for (const Record& record : records) {
        add_row({text, form, TableRow::Line::values}, folder, record);
    }
    return text;
}

}  // namespace

std::string settings_table_header(TableForm form) {
    return header<SettingRecord>(form);
}

std::string settings_table_rows(const SessionFolder& folder, TableForm form) {
    return rows(folder, folder.settings, form);
}

std::string answers_table_header(TableForm form) {
    return header<AnswerRecord>(form);
}

std::string answers_table_rows(const SessionFolder& folder, TableForm form) {
    return rows(folder, folder.answers, form);
}

}  // namespace isoseam
