#include "results_schema/table_row.h"

#include <algorithm>

namespace isoseam {

namespace {

// By byte: whether a field with it must be quoted.
using Bytes = std::array<bool, 256>;

constexpr Bytes bytes_of(std::string_view letters) {
    Bytes bytes{};
    for (const char c : letters) {
        bytes[static_cast<unsigned char>(c)] = true;
    }
    return bytes;
}

bool needs_quotes(std::string_view text, TableForm form) {
    static constexpr Bytes kInCsv = bytes_of(",\"\r\n");
    static constexpr Bytes kInTsv = bytes_of("\t\"\r\n");
    const Bytes& quoted = form == TableForm::csv ? kInCsv : kInTsv;
    return std::any_of(text.begin(), text.end(),
                       [&](char c) { return quoted[static_cast<unsigned char>(c)]; });
}

}  // namespace

void append_field(std::string& out, std::string_view text, TableForm form) {
    if (text.empty()) {
        out += form == TableForm::tsv ? "n/a" : "";
    } else if (!needs_quotes(text, form)) {
        out += text;
    } else {
        out += '"';
        for (const char c : text) {
            out.append(c == '"' ? 2 : 1, c);
        }
        out += '"';
    }
}

void add_session(TableRow& row, const SessionFolder& folder) {
    row.text("session", folder.header.session);
    row.text("state", to_string(folder.state));
    row.text("participant", folder.header.participant);
    row.text("kind", folder.header.kind);
    row.text("demo_calibration", folder.header.demo_calibration ? "true" : "false");
}

void add_half(TableRow& row, std::string_view prefix, const HalfRecord& half) {
    row.text(prefix, "_source", half.source);
    row.number(prefix, "_bits", half.bits);
    row.list(prefix, "_code", half.code);
    row.list(prefix, "_linear", half.linear);
    row.lms(prefix, half.lms);
}

void add_frames(TableRow& row, const std::optional<FramesRecord>& frames) {
    const auto count = [&](std::string_view name, std::int64_t FramesRecord::*of) {
        if (frames) {
            row.number("frames_", name, *frames.*of);
        } else {
            row.nothing("frames_", name);
        }
    };
    count("shown", &FramesRecord::shown);
    count("late", &FramesRecord::late);
    count("dropped", &FramesRecord::dropped);
}

}  // namespace isoseam
