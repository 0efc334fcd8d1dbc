#pragma once
// A series holds the sessions whose figures may stand in one table. They have the same protocol (by its
// hash), all are by people or all by simulated observers, and all use measured or all use demo calibrations.
// Sessions that differ in one of these are never pooled.

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
    // True if the sessions of the series have different calibrations. This is told of settings alone: in a
    // series of answers it is always false.
    bool calibrations_differ = false;
    // The cautions of its sessions, each once.
    std::vector<std::string> cautions;
    std::vector<std::string> sessions;
    std::vector<std::string> participants;  // in order of their codes, each once
};

// The order puts people before simulated observers, and measured before demo calibrations.
using SeriesKey = std::tuple<bool, bool, std::string>;
SeriesKey series_key(const SessionHeader& header);
SeriesKey series_key(const SeriesFacts& facts);

// The gatherer collects the facts session by session. All sessions must have one series_key.
class SeriesGatherer {
  public:
    void add(const SessionHeader& header);
    const SeriesFacts& facts() const { return facts_; }

  private:
    SeriesFacts facts_;
    // The calibrations of the first session.
    std::map<std::string, std::string> calibration_by_source_;
};

// Gives the heading and what must be said first: a rehearsal, a demo calibration, cautions. `what` is a word
// such as "Matches", and `record` is "setting" or "answer".
std::string series_heading(const SeriesFacts& facts, const std::string& what, const std::string& record);
// `record` is as above. Series of answers do not tell of calibrations and participants.
nlohmann::json series_json(const SeriesFacts& facts, const std::string& record);

}  // namespace isoseam
