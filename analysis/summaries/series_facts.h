#pragma once
// Sessions whose figures may stand in one table: of the same protocol (by hash), all by people or all by
// simulated observers, all on measured or all on demo calibrations. What differs in one of these is never
// pooled.

#include <map>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <tuple>
#include <vector>

#include "results_schema/session_header.h"

namespace isoseam {

struct SeriesFacts {
    std::string kind;  // "session", "rehearsal" or "lecture"
    bool demo_calibration = false;
    std::string protocol_file;
    std::string protocol_sha256;
    bool calibrations_differ = false;   // between its sessions
    std::vector<std::string> cautions;  // of its sessions, each once
    std::vector<std::string> sessions;
    std::vector<std::string> participants;  // in order of their codes, each once
};

// People before simulated observers, measured before demo calibrations.
using SeriesKey = std::tuple<bool, bool, std::string>;
SeriesKey series_key(const SessionHeader& header);

// Gathers the facts session by session; all of one series_key.
class SeriesGatherer {
  public:
    void add(const SessionHeader& header);
    const SeriesFacts& facts() const { return facts_; }

  private:
    SeriesFacts facts_;
    std::map<std::string, std::string> calibration_by_source_;  // of the first session
};

// Heading and what must be told first: rehearsal, demo calibration, cautions. `what`: "Matches".
std::string series_heading(const SeriesFacts& facts, const std::string& what);
nlohmann::json series_json(const SeriesFacts& facts);

}  // namespace isoseam
