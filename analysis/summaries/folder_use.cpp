#include "analysis/summaries/folder_use.h"

#include <fmt/format.h>

#include "analysis/summaries/summary_json.h"
#include "results_schema/sha256.h"

namespace isoseam {
namespace {

// Stored texts are large, and their hashes stand beside them.
std::string identity_of(SessionHeader header) {
    header.protocol.text.clear();
    for (auto& [sha256, calibration] : header.calibrations)
        calibration.text.clear();
    for (auto& [path, file] : header.files)
        file.text.clear();
    return sha256_hex(to_json(header).dump());
}

std::string reason_to_leave_out(const SessionFolder& folder, std::size_t records, const std::string& nothing,
                                FoldersSeen& seen) {
    if (folder.state == SessionState::damaged)
        return folder.faults.empty() ? "damaged" : "damaged: " + to_string(folder.faults.front());
    if (records == 0)
        return nothing;
    const auto [place, is_new] = seen.emplace(identity_of(folder.header), folder.folder);
    return is_new ? "" : fmt::format("it is the same session as {}", place->second);
}

}  // namespace

FolderUse use_of(const SessionFolder& folder, std::size_t records, const std::string& nothing,
                 FoldersSeen& seen) {
    return {folder.folder, folder.header_ok ? folder.header.session : "", folder.state, records,
            reason_to_leave_out(folder, records, nothing, seen)};
}

std::string folders_text(std::span<const FolderUse> folders, const std::string& record) {
    std::string used;
    std::string left_out;
    for (const FolderUse& folder : folders) {
        if (folder.left_out_because.empty())
            used += fmt::format("  {}\n      {}, {} {}{}\n", folder.folder, to_string(folder.state),
                                folder.records, record, folder.records == 1 ? "" : "s");
        else
            left_out += fmt::format("  {}\n      {}\n", folder.folder, folder.left_out_because);
    }
    return (used.empty() ? fmt::format("No {}s to summarise.\n", record) : "Rests on\n" + used) +
           (left_out.empty() ? "" : "Left out\n" + left_out);
}

nlohmann::json folders_json(std::span<const FolderUse> folders, const std::string& record) {
    return list_json(folders, [&](const FolderUse& folder) {
        return nlohmann::json{{"folder", folder.folder},
                              {"session", folder.session},
                              {"state", to_string(folder.state)},
                              {record + "s", folder.records},
                              {"used", folder.left_out_because.empty()},
                              {"left_out_because", text_or_null(folder.left_out_because)}};
    });
}

}  // namespace isoseam
