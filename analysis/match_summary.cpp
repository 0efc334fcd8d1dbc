#include "analysis/match_summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <set>
#include <tuple>

#include "colorimetry/colour_space.h"
#include "colorimetry/colour_types.h"
#include "colorimetry/errors.h"

namespace isoseam {
namespace {

using Settings = std::vector<const SettingRecord*>;

template <typename Value>
Estimate estimate_of(const Settings& settings, Value value) {
    std::vector<double> values;
    for (const SettingRecord* setting : settings) {
        values.push_back(value(*setting));
    }
    return estimate(values);
}

ConditionSummary summarise(const std::optional<std::string>& participant, const Settings& settings) {
    const SettingRecord& first = *settings.front();
    ConditionSummary summary;
    summary.participant = participant;
    summary.condition = first.condition;
    summary.settings = settings.size();
    summary.space = first.space;
    summary.axes = first.axes;
    for (std::size_t axis = 0; axis < first.axes.size(); ++axis) {
        summary.setting.push_back(
            estimate_of(settings, [axis](const SettingRecord& s) { return s.setting[axis]; }));
    }
    for (std::size_t cone = 0; cone < 3; ++cone) {
        summary.contrast[cone] =
            estimate_of(settings, [cone](const SettingRecord& s) { return s.contrast_from_predicted[cone]; });
    }
    summary.distance =
        ConeContrast{summary.contrast[0].mean, summary.contrast[1].mean, summary.contrast[2].mean}.length();
    summary.duration_s = estimate_of(settings, [](const SettingRecord& s) { return s.duration_s; });
    for (const SettingRecord* setting : settings) {
        summary.refused_steps = std::accumulate(setting->refused_steps.begin(), setting->refused_steps.end(),
                                                summary.refused_steps);
        summary.starts_moved += setting->start_shrunk_to < 1.0 ? 1 : 0;
    }
    return summary;
}

// Settings with different axes are never averaged, though one protocol should not give any.
auto condition_key(const SettingRecord& setting) {
    return std::tuple(setting.condition, setting.space, setting.axes);
}

// A light that gives L and M nothing has a luminance of 0, and no chromaticity.
bool has_chromaticity(const SettingRecord& setting) {
    return setting.adjusted.lms[0] + setting.adjusted.lms[1] > 0.0 &&
           setting.predicted_lms[0] + setting.predicted_lms[1] > 0.0;
}

Eigen::Vector2d chromaticity_from_predicted(const SettingRecord& setting, const Observer& observer) {
    const auto in_ls = [&](const std::array<double, 3>& lms) {
        const MacLeodBoynton at = macleod_boynton_from_lms({lms[0], lms[1], lms[2]}, observer);
        return Eigen::Vector2d(at.l, at.s);
    };
    return in_ls(setting.adjusted.lms) - in_ls(setting.predicted_lms);
}

// The sessions of one series, while they are gathered.
struct Gathered {
    std::vector<const SessionFolder*> folders;

    MatchSeries summarised() const {
        MatchSeries series;
        const SessionHeader& first = folders.front()->header;
        series.kind = first.kind;
        series.demo_calibration = first.demo_calibration;
        series.protocol_file = first.protocol.file;
        series.protocol_sha256 = first.protocol.sha256;
        std::set<std::string> participants;
        for (const SessionFolder* folder : folders) {
            const SessionHeader& header = folder->header;
            participants.insert(header.participant);
            series.sessions.push_back(header.session);
            series.calibrations_differ |= calibrations(header) != calibrations(first);
            for (const std::string& caution : header.cautions) {
                if (std::find(series.cautions.begin(), series.cautions.end(), caution) ==
                    series.cautions.end()) {
                    series.cautions.push_back(caution);
                }
            }
        }
        series.participants.assign(participants.begin(), participants.end());
        for (const std::string& participant : series.participants) {
            add_conditions(series, participant);
        }
        if (series.participants.size() > 1) {
            add_conditions(series, std::nullopt);
        }
        return series;
    }

  private:
    // By source, since the same files on swapped sources make another rig.
    static std::map<std::string, std::string> calibrations(const SessionHeader& header) {
        std::map<std::string, std::string> by_source;
        for (const SourceRecord& source : header.sources) {
            by_source[source.name] = source.calibration;
        }
        return by_source;
    }

    // Sessions of one series have few of them.
    const Observer& nominal_observer(const SessionHeader& header) const {
        const std::pair key(header.observer.field_deg, header.observer.age_years);
        auto found = observers.find(key);
        if (found == observers.end()) {
            found = observers
                        .emplace(key, Observer::cie170(Degrees::from_degrees(key.first),
                                                       Years::from_years(key.second)))
                        .first;
        }
        return found->second;
    }

    mutable std::map<std::pair<double, double>, Observer> observers{};

    void add_conditions(MatchSeries& series, const std::optional<std::string>& participant) const {
        std::map<decltype(condition_key({})), Settings> groups;
        std::map<decltype(condition_key({})), std::vector<Eigen::Vector2d>> chromaticities;
        for (const SessionFolder* folder : folders) {
            if (participant && folder->header.participant != *participant) {
                continue;
            }
            for (const SettingRecord& setting : folder->settings) {
                groups[condition_key(setting)].push_back(&setting);
                if (participant && has_chromaticity(setting)) {
                    chromaticities[condition_key(setting)].push_back(
                        chromaticity_from_predicted(setting, nominal_observer(folder->header)));
                }
            }
        }
        for (const auto& [key, settings] : groups) {
            series.conditions.push_back(summarise(participant, settings));
            if (participant) {
                series.conditions.back().chromaticity = scatter_of(chromaticities[key]);
            }
        }
    }
};

}  // namespace

Estimate estimate(std::span<const double> values) {
    ISOSEAM_CHECK(!values.empty());
    const auto count = static_cast<double>(values.size());
    // Differences from the first value keep the digits that a large common part would take.
    const double shift = values.front();
    double sum = 0.0;
    for (const double value : values) {
        sum += value - shift;
    }
    Estimate result;
    result.mean = shift + sum / count;
    if (values.size() > 1) {
        double squares = 0.0;
        for (const double value : values) {
            const double deviation = (value - shift) - sum / count;
            squares += deviation * deviation;
        }
        result.sd = std::sqrt(squares / (count - 1.0));
    }
    return result;
}

MatchSummary summarise_matches(const std::vector<SessionFolder>& folders) {
    MatchSummary summary;
    FoldersSeen seen;
    // People before simulated observers, measured before demo calibrations.
    std::map<std::tuple<bool, bool, std::string>, Gathered> gathered;
    for (const SessionFolder& folder : folders) {
        summary.folders.push_back(use_of(folder, folder.settings.size(), "it holds no setting", seen));
        if (summary.folders.back().left_out_because.empty()) {
            const SessionHeader& header = folder.header;
            gathered[{header.kind != "session", header.demo_calibration, header.protocol.sha256}]
                .folders.push_back(&folder);
        }
    }
    for (const auto& [key, group] : gathered) {
        summary.series.push_back(group.summarised());
    }
    return summary;
}

}  // namespace isoseam
