#include "results_schema/table_row.h"

namespace isoseam {

std::string quoted_field(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) {
        return text;
    }
    std::string quoted = "\"";
    for (const char c : text) {
        quoted += c == '"' ? "\"\"" : std::string(1, c);
    }
    return quoted + "\"";
}

void add_session(TableRow& row, const SessionFolder& folder) {
    row.text("session", folder.header.session);
    row.text("state", to_string(folder.state));
    row.text("participant", folder.header.participant);
    row.text("kind", folder.header.kind);
    row.text("demo_calibration", folder.header.demo_calibration ? "true" : "false");
}

void add_half(TableRow& row, const std::string& prefix, const HalfRecord& half) {
    row.text(prefix + "_source", half.source);
    row.number(prefix + "_bits", half.bits);
    row.list(prefix + "_code", half.code);
    row.list(prefix + "_linear", half.linear);
    row.lms(prefix, half.lms);
}

void add_frames(TableRow& row, const std::optional<FramesRecord>& frames) {
    const auto count = [&](std::int64_t FramesRecord::*of) {
        return frames ? fmt::format("{}", *frames.*of) : std::string();
    };
    row.text("frames_shown", count(&FramesRecord::shown));
    row.text("frames_late", count(&FramesRecord::late));
    row.text("frames_dropped", count(&FramesRecord::dropped));
}

}  // namespace isoseam
