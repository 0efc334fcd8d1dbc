#include "analysis/summaries/match_summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <future>
#include <iterator>
#include <map>
#include <mutex>
#include <utility>

#include "analysis/summaries/add_once.h"
#include "analysis/summaries/axis_trends.h"
#include "analysis/summaries/condition_summary.h"
#include "analysis/summaries/kept_settings.h"
#include "analysis/summaries/nominal_observers.h"
#include "base/errors.h"
#include "base/ordered_work.h"

namespace isoseam {
namespace {

using Conditions = std::vector<KeptCondition>;

struct OwnFigures {
    std::vector<ConditionSummary> conditions;
    ParticipantTrends trends;
};

OwnFigures own_figures(const std::string& participant, const Conditions& conditions,
                       const std::vector<std::string>& sessions, bool keep_settings) {
    OwnFigures figures;
    std::vector<std::vector<const KeptCondition*>> own(1);
    for (const KeptCondition& condition : conditions) {
        figures.conditions.push_back(participant_summary(participant, condition, sessions, keep_settings));
        own.front().push_back(&condition);
    }
    figures.trends = {participant, axis_trends(own)};
    return figures;
}

// The sessions of one series, while they are gathered.
struct SeriesSettings {
    SeriesGatherer gatherer;
    std::map<std::string, Conditions> by_participant;
    std::vector<std::string> notes;

    void take(Conditions&& of_session, const SessionHeader& header) {
        gatherer.add(header);
        const auto index = static_cast<std::int32_t>(gatherer.facts().sessions.size() - 1);
        Conditions& conditions = by_participant[header.participant];
        for (KeptCondition& condition : of_session) {
            for (KeptSetting& setting : condition.kept)
                setting.session = index;
            const auto same = std::find_if(conditions.begin(), conditions.end(), [&](const KeptCondition& c) {
                return c.key() == condition.key();
            });
            if (same != conditions.end())
                same->add(condition);
            else
                conditions.push_back(std::move(condition));
        }
        if (conditions.empty())
            by_participant.erase(header.participant);
    }

    MatchSeries summarised(bool keep_settings) {
        MatchSeries series;
        static_cast<SeriesFacts&>(series) = gatherer.facts();
        series.notes = std::move(notes);
        std::map<KeptCondition::Key, std::vector<const KeptCondition*>> by_key;
        std::vector<std::vector<const KeptCondition*>> all;  // by participant
        std::vector<const std::pair<const std::string, Conditions>*> participants;
        for (auto& participant : by_participant) {
            Conditions& conditions = participant.second;
            std::sort(conditions.begin(), conditions.end(),
                      [](const KeptCondition& a, const KeptCondition& b) { return a.key() < b.key(); });
            all.emplace_back();
            for (const KeptCondition& condition : conditions) {
                by_key[condition.key()].push_back(&condition);
                all.back().push_back(&condition);
            }
            participants.push_back(&participant);
        }
        in_order(
            participants.size(),
            [&](std::size_t i) {
                return own_figures(participants[i]->first, participants[i]->second, series.sessions,
                                   keep_settings);
            },
            [&](OwnFigures&& own) {
                std::move(own.conditions.begin(), own.conditions.end(),
                          std::back_inserter(series.conditions));
                series.trends.push_back(std::move(own.trends));
            });
        if (by_participant.size() > 1) {
            std::vector<std::vector<const KeptCondition*>> of_keys;
            for (auto& [key, of_participants] : by_key)
                of_keys.push_back(std::move(of_participants));
            std::future<std::vector<AxisTrend>> trends_of_all =
                std::async(std::launch::async, [&] { return axis_trends(all); });
            in_order(
                of_keys.size(),
                [&](std::size_t i) {
                    return std::pair(pooled_summary(of_keys[i]), components_of(of_keys[i]));
                },
                [&](std::pair<ConditionSummary, std::vector<ComponentsSummary>>&& of_all) {
                    series.conditions.push_back(std::move(of_all.first));
                    std::move(of_all.second.begin(), of_all.second.end(),
                              std::back_inserter(series.components));
                });
            series.trends.push_back({std::nullopt, trends_of_all.get()});
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

    NominalObservers nominal_observers;
    std::mutex mutex;  // of what is below, which several threads use
    KnownScreens screens;

    // There is no result if the lights cannot be known; `why` then gives the reason.
    std::optional<ShownLights> lights_of(const SessionFolder& folder, std::string& why) {
        try {
            std::unique_lock lock(mutex);
            ShownLights lights(folder.header, screens);
            lock.unlock();
            for (const SettingRecord& setting : folder.settings) {
                lights.check(setting.adjusted);
                lights.check(setting.reference);
            }
            return lights;
        } catch (const InputError& error) {
            why = "its lights cannot be computed from its calibrations: " + to_string(error.faults().front());
            return std::nullopt;
        }
    }

    SettingEye eye_for(const SessionHeader& header, const std::optional<ShownLights>& lights) {
        if (!options.eye)
            return {&nominal_observers.of(header.observer.field_deg, header.observer.age_years), {}};
        const std::lock_guard lock(mutex);
        return {&*options.eye, lights->caught_by(*options.eye)};
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

KeptSession MatchSummariser::kept(SessionFolder folder) const {
    KeptSession session;
    session.settings = folder.settings.size();
    if (folder.state != SessionState::damaged && !folder.settings.empty()) {
        const std::optional<ShownLights> lights = gathered_->lights_of(folder, session.no_lights_because);
        if (lights || !gathered_->options.eye)
            session.keep(folder.settings, gathered_->eye_for(folder.header, lights),
                         lights ? &*lights : nullptr);
    }
    folder.settings.clear();
    folder.answers.clear();
    folder.events.clear();
    session.folder = std::move(folder);
    return session;
}

void MatchSummariser::add(KeptSession session) {
    Gathered& gathered = *gathered_;
    const SessionFolder& folder = session.folder;
    gathered.summary.folders.push_back(
        use_of(folder, session.settings, "it holds no setting", gathered.seen));
    FolderUse& use = gathered.summary.folders.back();
    if (!use.left_out_because.empty())
        return;
    if (!session.no_lights_because.empty() && gathered.options.eye) {
        use.left_out_because = session.no_lights_because;
        return;
    }
    SeriesSettings& series = gathered.series[series_key(folder.header)];
    for (const auto& [condition, count] : session.untold)
        add_once(series.notes,
                 fmt::format(
                     "{}: {} setting{} of {} left out, since it cannot be told what would match for this eye",
                     folder.header.session, count, count == 1 ? "" : "s", condition));
    if (!session.no_lights_because.empty())
        add_once(series.notes, fmt::format("no x, y and u', v' for {}: {}", folder.header.session,
                                           session.no_lights_because));
    series.take(std::move(session.conditions), folder.header);
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
        summariser.add(summariser.kept(folder));
    return summariser.finish();
}

}  // namespace isoseam
