#include "analysis/match_summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "analysis/condition_figures.h"
#include "analysis/kept_settings.h"
#include "colorimetry/errors.h"

namespace isoseam {
namespace {

using Conditions = std::vector<KeptCondition>;

KeptCondition& condition_for(Conditions& conditions, const SettingRecord& setting) {
    const auto found = std::find_if(conditions.begin(), conditions.end(),
                                    [&setting](const KeptCondition& c) { return c.same_kind(setting); });
    return found != conditions.end() ? *found : conditions.emplace_back(setting);
}

// The sessions of one series, while they are gathered.
struct SeriesSettings {
    SeriesGatherer gatherer;
    std::map<std::string, Conditions> by_participant;
    std::vector<std::string> notes;

    void note(const std::string& text) {
        if (std::find(notes.begin(), notes.end(), text) == notes.end())
            notes.push_back(text);
    }

    MatchSeries summarised(bool keep_settings) {
        MatchSeries series;
        static_cast<SeriesFacts&>(series) = gatherer.facts();
        series.notes = std::move(notes);
        std::map<KeptCondition::Key, std::vector<const KeptCondition*>> by_key;
        std::vector<const KeptCondition*> all;
        for (auto& [participant, conditions] : by_participant) {
            std::sort(conditions.begin(), conditions.end(),
                      [](const KeptCondition& a, const KeptCondition& b) { return a.key() < b.key(); });
            std::vector<const KeptCondition*> own;
            for (const KeptCondition& condition : conditions) {
                series.conditions.push_back(
                    participant_figures(participant, condition, series.sessions, keep_settings));
                own.push_back(&condition);
                by_key[condition.key()].push_back(&condition);
            }
            series.trends.push_back({participant, axis_trends(own)});
            all.insert(all.end(), own.begin(), own.end());
        }
        if (by_participant.size() > 1) {
            for (const auto& [key, of_participants] : by_key) {
                series.conditions.push_back(pooled_figures(of_participants));
                const std::vector<ComponentsSummary> components = components_of(of_participants);
                series.components.insert(series.components.end(), components.begin(), components.end());
            }
            series.trends.push_back({std::nullopt, axis_trends(all)});
        }
        return series;
    }
};

void require_three_cones(const Observer& eye) {
    for (const auto& [cone, name] :
         {std::pair(Cone::l, "L"), std::pair(Cone::m, "M"), std::pair(Cone::s, "S")}) {
        if (!eye.has(cone))
            throw InputError(Fault{"", 0, 0, "--type", fmt::format("this eye has no {} cones", name),
                                   "give an eye with three kinds of cone: contrasts and chromaticities are "
                                   "made of all three"});
    }
}

}  // namespace

struct MatchSummariser::Gathered {
    MatchOptions options;
    MatchSummary summary;
    FoldersSeen seen;
    std::map<SeriesKey, SeriesSettings> series;
    KnownScreens screens;
    std::map<std::pair<double, double>, Observer> nominal_observers;  // by field and age

    const Observer& observer_of(const SessionHeader& header) {
        if (options.eye)
            return *options.eye;
        const std::pair key(header.observer.field_deg, header.observer.age_years);
        auto found = nominal_observers.find(key);
        if (found == nominal_observers.end()) {
            const Observer observer =
                Observer::cie170(Degrees::from_degrees(key.first), Years::from_years(key.second));
            found = nominal_observers.emplace(key, observer).first;
        }
        return found->second;
    }

    // None where they cannot be known; `why` then tells.
    std::optional<ShownLights> lights_of(const SessionFolder& folder, std::string& why) {
        try {
            ShownLights lights(folder.header, screens);
            for (const SettingRecord& setting : folder.settings) {
                static_cast<void>(lights.xyz(setting.adjusted));
                static_cast<void>(lights.xyz(setting.reference));
            }
            return lights;
        } catch (const InputError& error) {
            why = "its lights cannot be computed from its calibrations: " + to_string(error.faults().front());
            return std::nullopt;
        }
    }

    void take(const SessionFolder& folder, const std::optional<ShownLights>& lights) {
        SeriesSettings& into = series[series_key(folder.header)];
        into.gatherer.add(folder.header);
        Conditions& conditions = into.by_participant[folder.header.participant];
        SettingEye eye;
        eye.observer = &observer_of(folder.header);
        if (options.eye)
            eye.recomputed = lights->caught_by(*options.eye);
        const auto session = static_cast<std::int32_t>(into.gatherer.facts().sessions.size() - 1);
        std::map<std::string, std::size_t> untold;
        for (const SettingRecord& setting : folder.settings) {
            std::optional<KeptSetting> kept = kept_setting(setting, eye, lights ? &*lights : nullptr);
            if (!kept) {
                ++untold[setting.condition];
                continue;
            }
            kept->session = session;
            condition_for(conditions, setting).add(setting, *kept);
        }
        if (conditions.empty())
            into.by_participant.erase(folder.header.participant);
        for (const auto& [condition, count] : untold)
            into.note(
                fmt::format("{}: {} setting{} of {} left out, since it cannot be told what would match "
                            "for this eye",
                            folder.header.session, count, count == 1 ? "" : "s", condition));
    }
};

MatchSummariser::MatchSummariser(MatchOptions options) : gathered_(std::make_unique<Gathered>()) {
    if (options.eye) {
        require_three_cones(*options.eye);
        gathered_->summary.eye = options.eye->description();
    }
    gathered_->options = std::move(options);
}
MatchSummariser::~MatchSummariser() = default;
MatchSummariser::MatchSummariser(MatchSummariser&&) noexcept = default;
MatchSummariser& MatchSummariser::operator=(MatchSummariser&&) noexcept = default;

void MatchSummariser::add(const SessionFolder& folder) {
    Gathered& gathered = *gathered_;
    gathered.summary.folders.push_back(
        use_of(folder, folder.settings.size(), "it holds no setting", gathered.seen));
    FolderUse& use = gathered.summary.folders.back();
    if (!use.left_out_because.empty())
        return;
    std::string why;
    const std::optional<ShownLights> lights = gathered.lights_of(folder, why);
    if (!lights && gathered.options.eye) {
        use.left_out_because = why;
        return;
    }
    gathered.take(folder, lights);
    if (!lights)
        gathered.series[series_key(folder.header)].note(
            fmt::format("no x, y and u', v' for {}: {}", folder.header.session, why));
}

MatchSummary MatchSummariser::finish() {
    for (auto& [key, settings] : gathered_->series)
        gathered_->summary.series.push_back(settings.summarised(gathered_->options.keep_settings));
    gathered_->series.clear();
    return std::move(gathered_->summary);
}

MatchSummary summarise_matches(const std::vector<SessionFolder>& folders, const MatchOptions& options) {
    MatchSummariser summariser(options);
    for (const SessionFolder& folder : folders)
        summariser.add(folder);
    return summariser.finish();
}

}  // namespace isoseam
