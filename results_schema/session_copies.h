#pragma once
// Finds sessions that are given twice, so that no table doubles their rows.
//
//     const std::string why = copies.why_left_out(identity_of(folder));

#include <map>
#include <string>
#include <utility>

#include "results_schema/session_folder.h"

namespace isoseam {

// What tells whether two folders hold the same session.
struct SessionIdentity {
    std::string folder;
    std::string session;        // "" where the header cannot be read: such a folder is no copy of another
    std::string header_sha256;  // of the bytes of session.json
    std::size_t records = 0;    // number of settings and answers
};
SessionIdentity identity_of(const SessionFolder& folder);

// Goes through folders in the order in which they are given.
class SessionCopies {
  public:
    // Returns "" for a session that did not come before. Otherwise it returns the reason why this folder is
    // left out: it has the name and the session.json of a folder that came before.
    std::string why_left_out(const SessionIdentity& given);

  private:
    std::map<std::pair<std::string, std::string>, SessionIdentity> first_;
};

}  // namespace isoseam
