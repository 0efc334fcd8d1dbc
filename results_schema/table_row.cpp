#include "results_schema/table_row.h"

#include <algorithm>

namespace isoseam {

namespace {

// Says for each byte whether a field that holds it must be quoted.
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

}  // namespace isoseam
