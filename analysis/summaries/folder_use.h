#pragma once
// A summary says of each folder that it was given whether it was used, or for which reason it was left out.

#include <cstddef>
#include <map>
#include <nlohmann/json_fwd.hpp>
#include <span>
#include <string>

#include "results_schema/session_folder.h"

namespace isoseam {

struct FolderUse {
    std::string folder;
    std::string session;  // "" if the header cannot be read
    SessionState state = SessionState::damaged;
    std::size_t records = 0;       // settings or answers
    std::string left_out_because;  // "" if it was used
};

// These are the hashes of the headers of the folders that were used, and where each was found.
using FoldersSeen = std::map<std::string, std::string>;

// Damaged folders are left out, and so are folders without a record (`nothing` says so) and a session that
// was given before.
FolderUse use_of(const SessionFolder& folder, std::size_t records, const std::string& nothing,
                 FoldersSeen& seen);

// `record` is "setting" or "answer". Its plural is the key of the count in JSON.
std::string folders_text(std::span<const FolderUse> folders, const std::string& record);
nlohmann::json folders_json(std::span<const FolderUse> folders, const std::string& record);

}  // namespace isoseam
