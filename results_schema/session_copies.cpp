#include "results_schema/session_copies.h"

#include <fmt/format.h>

namespace isoseam {

SessionIdentity identity_of(const SessionFolder& folder) {
    return {folder.folder, folder.header_ok ? folder.header.session : "", folder.header_sha256,
            folder.settings.size() + folder.answers.size()};
}

std::string SessionCopies::why_left_out(const SessionIdentity& given) {
    if (given.session.empty()) {
        return {};
    }
    const auto [place, is_new] = first_.try_emplace({given.session, given.header_sha256}, given);
    if (is_new) {
        return {};
    }
    const SessionIdentity& first = place->second;
    std::string reason =
        fmt::format("left out, since it is the same session as {}, which came before", first.folder);
    // The caller says which of the two counts, by the order in which it gives them.
    if (given.records > first.records) {
        reason += fmt::format("; it holds more settings and answers ({} and not {}): give it alone",
                              given.records, first.records);
    }
    return reason;
}

}  // namespace isoseam
