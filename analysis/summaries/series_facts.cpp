#include "analysis/summaries/series_facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "analysis/summaries/add_once.h"
#include "analysis/summaries/text_layout.h"

namespace isoseam {
namespace {

constexpr std::size_t kHashDigits = 8;  // enough to tell protocols apart by eye; JSON has all

// By source, since the same files on swapped sources make another rig.
std::map<std::string, std::string> calibrations_of(const SessionHeader& header) {
    std::map<std::string, std::string> by_source;
    for (const SourceRecord& source : header.sources)
        by_source[source.name] = source.calibration;
    return by_source;
}

}  // namespace

SeriesKey series_key(const SessionHeader& header) {
    return {header.kind != "session", header.demo_calibration, header.protocol.sha256};
}

SeriesKey series_key(const SeriesFacts& facts) {
    return {facts.kind != "session", facts.demo_calibration, facts.protocol_sha256};
}

void SeriesGatherer::add(const SessionHeader& header) {
    if (facts_.sessions.empty()) {
        facts_.kind = header.kind;
        facts_.demo_calibration = header.demo_calibration;
        facts_.protocol_file = header.protocol.file;
        facts_.protocol_sha256 = header.protocol.sha256;
        calibration_by_source_ = calibrations_of(header);
    }
    facts_.calibrations_differ |= calibrations_of(header) != calibration_by_source_;
    facts_.sessions.push_back(header.session);
    const auto place =
        std::lower_bound(facts_.participants.begin(), facts_.participants.end(), header.participant);
    if (place == facts_.participants.end() || *place != header.participant)
        facts_.participants.insert(place, header.participant);
    for (const std::string& caution : header.cautions)
        add_once(facts_.cautions, caution);
}

std::string series_heading(const SeriesFacts& facts, const std::string& what, const std::string& record) {
    std::string text = wrapped(fmt::format("{} by protocol {} ({})", what, facts.protocol_file,
                                           facts.protocol_sha256.substr(0, kHashDigits)));
    if (facts.kind == "rehearsal")
        text += fmt::format("REHEARSAL: {}s of simulated observers, not of people\n", record);
    if (facts.kind == "lecture")
        text += "LECTURE: settings that a class steered to together, not those of one person\n";
    if (facts.demo_calibration)
        text += "DEMO CALIBRATION: invented or estimated data about the screens, not for science\n";
    if (facts.calibrations_differ)
        text +=
            "The sessions used different calibrations; contrasts are from each session's own predicted "
            "match.\n";
    for (const std::string& caution : facts.cautions)
        text += wrapped("Caution: " + caution);
    return text;
}

nlohmann::json series_json(const SeriesFacts& facts, const std::string& record) {
    nlohmann::json json = {{"kind", facts.kind},
                           {"demo_calibration", facts.demo_calibration},
                           {"protocol", {{"file", facts.protocol_file}, {"sha256", facts.protocol_sha256}}},
                           {"cautions", facts.cautions},
                           {"sessions", facts.sessions}};
    if (record == "setting") {
        json["calibrations_differ"] = facts.calibrations_differ;
        json["participants"] = facts.participants;
    }
    return json;
}

}  // namespace isoseam
