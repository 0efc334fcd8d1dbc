#include "analysis/summaries/series_facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

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
    for (const std::string& caution : header.cautions) {
        if (std::find(facts_.cautions.begin(), facts_.cautions.end(), caution) == facts_.cautions.end())
            facts_.cautions.push_back(caution);
    }
}

std::string series_heading(const SeriesFacts& facts, const std::string& what) {
    std::string text = wrapped(fmt::format("{} by protocol {} ({})", what, facts.protocol_file,
                                           facts.protocol_sha256.substr(0, kHashDigits)));
    if (facts.kind == "rehearsal")
        text += "REHEARSAL: settings of simulated observers, not of people\n";
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

nlohmann::json series_json(const SeriesFacts& facts) {
    return {{"kind", facts.kind},
            {"demo_calibration", facts.demo_calibration},
            {"protocol", {{"file", facts.protocol_file}, {"sha256", facts.protocol_sha256}}},
            {"calibrations_differ", facts.calibrations_differ},
            {"cautions", facts.cautions},
            {"sessions", facts.sessions},
            {"participants", facts.participants}};
}

}  // namespace isoseam
