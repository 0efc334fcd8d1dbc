#include "analysis/summaries/axis_trends.h"

#include <map>
#include <utility>

#include "analysis/statistics/mean_slope.h"

namespace isoseam {
namespace {

// One axis of the conditions of one participant.
using OwnAxis = std::vector<std::pair<const KeptCondition*, std::size_t>>;

// Settings of one condition and session, by x of each.
template <class X>
std::vector<std::vector<SlopePoint>> groups_of(const OwnAxis& own, const X& x) {
    std::vector<std::vector<SlopePoint>> groups;
    for (const auto& [condition, axis] : own) {
        std::map<std::int32_t, std::vector<SlopePoint>> of_session;
        for (std::size_t i = 0; i < condition->kept.size(); ++i)
            of_session[condition->kept[i].session].push_back(
                {x(*condition, i, axis), condition->setting(i, axis)});
        for (auto& [session, points] : of_session)
            groups.push_back(std::move(points));
    }
    return groups;
}

template <class X>
std::optional<PooledSlope> slope_of(const std::map<std::size_t, OwnAxis>& participants, bool several,
                                    const X& x) {
    std::vector<ParticipantGroups> groups;
    for (const auto& [participant, own] : participants)
        groups.push_back(groups_of(own, x));
    return several ? mean_of_slopes(groups) : pooled_slope(groups.front());
}

}  // namespace

std::vector<AxisTrend> axis_trends(std::span<const std::vector<const KeptCondition*>> by_participant) {
    using Name = std::pair<std::string, std::string>;  // space, axis
    std::map<Name, std::map<std::size_t, OwnAxis>> by_axis;
    for (std::size_t i = 0; i < by_participant.size(); ++i) {
        for (const KeptCondition* condition : by_participant[i]) {
            for (std::size_t axis = 0; axis < condition->axes.size(); ++axis)
                by_axis[{condition->space, condition->axes[axis]}][i].emplace_back(condition, axis);
        }
    }
    const bool several = by_participant.size() > 1;
    std::vector<AxisTrend> trends;
    for (const auto& [name, participants] : by_axis) {
        AxisTrend trend{name.first, name.second, std::nullopt, std::nullopt};
        trend.drift =
            slope_of(participants, several, [](const KeptCondition& condition, std::size_t i, std::size_t) {
                return static_cast<double>(condition.kept[i].trial);
            });
        trend.start = slope_of(participants, several,
                               [](const KeptCondition& condition, std::size_t i, std::size_t axis) {
                                   return condition.start(i, axis);
                               });
        trends.push_back(trend);
    }
    return trends;
}

}  // namespace isoseam
