#include "analysis/summaries/condition_summary.h"

#include <algorithm>
#include <functional>
#include <map>
#include <utility>

#include "base/errors.h"
#include "colorimetry/colour_types.h"

namespace isoseam {
namespace {

using Conditions = std::span<const KeptCondition* const>;
using Value = std::function<double(const KeptCondition&, std::size_t)>;

std::vector<double> values_of(Conditions conditions, const Value& value) {
    std::vector<double> values;
    for (const KeptCondition* condition : conditions) {
        for (std::size_t i = 0; i < condition->kept.size(); ++i)
            values.push_back(value(*condition, i));
    }
    return values;
}

Value along_axis(std::size_t axis) {
    return [axis](const KeptCondition& condition, std::size_t i) { return condition.setting(i, axis); };
}

Value of_cone(std::size_t cone) {
    return [cone](const KeptCondition& condition, std::size_t i) {
        return condition.kept[i].contrast[static_cast<Eigen::Index>(cone)];
    };
}

// What does not depend on whose settings they are.
ConditionSummary common_figures(Conditions conditions) {
    const KeptCondition& first = *conditions.front();
    ConditionSummary summary;
    summary.condition = first.condition;
    summary.space = first.space;
    summary.axes = first.axes;
    for (std::size_t axis = 0; axis < first.axes.size(); ++axis) {
        const std::vector<double> values = values_of(conditions, along_axis(axis));
        summary.setting.push_back(estimate(values));
        const auto [smallest, largest] = std::minmax_element(values.begin(), values.end());
        summary.range.push_back({*smallest, *largest});
        summary.settings = values.size();
    }
    for (std::size_t cone = 0; cone < 3; ++cone)
        summary.contrast[cone] = estimate(values_of(conditions, of_cone(cone)));
    summary.distance =
        ConeContrast{summary.contrast[0].mean, summary.contrast[1].mean, summary.contrast[2].mean}.length();
    summary.duration_s = estimate(
        values_of(conditions, [](const KeptCondition& c, std::size_t i) { return c.kept[i].duration_s; }));
    for (const KeptCondition* condition : conditions) {
        for (const KeptSetting& kept : condition->kept) {
            summary.refused_steps += kept.refused_steps;
            summary.starts_moved += kept.start_moved ? 1 : 0;
        }
    }
    return summary;
}

Eigen::Vector2d uniform_from_xy(const Eigen::Vector2d& xy) {
    const double divisor = -2.0 * xy[0] + 12.0 * xy[1] + 3.0;  // CIE 015:2018
    return {4.0 * xy[0] / divisor, 9.0 * xy[1] / divisor};
}

template <class Point>
std::optional<Scatter> scatter_by(const KeptCondition& condition, bool tested, const Point& point) {
    std::vector<Eigen::Vector2d> points;
    for (const KeptSetting& kept : condition.kept) {
        if (const std::optional<Eigen::Vector2d> at = std::invoke(point, kept))
            points.push_back(*at);
    }
    std::optional<Scatter> scatter = scatter_of(points);
    if (scatter && !tested)
        scatter->from_origin.reset();
    return scatter;
}

std::optional<Eigen::Vector2d> uv_of(const KeptSetting& kept) {
    return kept.xy ? std::optional(uniform_from_xy(*kept.xy)) : std::nullopt;
}

struct Moments {
    Eigen::VectorXd mean;
    Eigen::MatrixXd covariance;
};

// `points`: columns; two or more.
Moments moments_of(const Eigen::MatrixXd& points) {
    Moments moments;
    const Eigen::VectorXd first = points.col(0);  // differences keep the digits of a large common part
    const Eigen::MatrixXd from_first = points.colwise() - first;
    const Eigen::VectorXd mean = from_first.rowwise().mean();
    const Eigen::MatrixXd centred = from_first.colwise() - mean;
    moments.mean = first + mean;
    moments.covariance = centred * centred.transpose() / (static_cast<double>(points.cols()) - 1.0);
    return moments;
}

constexpr std::size_t kFewestForScatter = 3;

std::optional<ContrastScatter> contrast_scatter_of(const KeptCondition& condition) {
    if (condition.kept.size() < kFewestForScatter)
        return std::nullopt;
    Eigen::MatrixXd points(3, static_cast<Eigen::Index>(condition.kept.size()));
    for (std::size_t i = 0; i < condition.kept.size(); ++i)
        points.col(static_cast<Eigen::Index>(i)) = condition.kept[i].contrast;
    const Moments moments = moments_of(points);
    const auto plane = [&](Eigen::Index other) {
        return *scatter_by(condition, false, [other](const KeptSetting& kept) {
            return std::optional(Eigen::Vector2d(kept.contrast[0], kept.contrast[other]));
        });
    };
    ContrastScatter scatter{moments.mean, moments.covariance, plane(1), plane(2), std::nullopt, {}};
    for (const AskedSpread::Point& direction : condition.asked_contrast.not_reached())
        scatter.not_reached.emplace_back(direction);
    if (scatter.not_reached.empty() && condition.axes.size() >= 3)
        scatter.from_predicted = hotelling_test(moments.mean, moments.covariance, condition.kept.size());
    return scatter;
}

std::optional<HotellingTest> axes_test(const KeptCondition& condition) {
    if (condition.kept.size() < 2)
        return std::nullopt;
    Eigen::MatrixXd points(static_cast<Eigen::Index>(condition.axes.size()),
                           static_cast<Eigen::Index>(condition.kept.size()));
    for (std::size_t i = 0; i < condition.kept.size(); ++i) {
        for (std::size_t axis = 0; axis < condition.axes.size(); ++axis)
            points(static_cast<Eigen::Index>(axis), static_cast<Eigen::Index>(i)) =
                condition.setting(i, axis);
    }
    const Moments moments = moments_of(points);
    return hotelling_test(moments.mean, moments.covariance, condition.kept.size());
}

void add_robust(ConditionSummary& summary, const KeptCondition& condition,
                const std::vector<std::string>& sessions) {
    const KeptCondition* const only[] = {&condition};
    for (std::size_t axis = 0; axis < condition.axes.size(); ++axis) {
        const std::vector<double> values = values_of(only, along_axis(axis));
        const std::optional<RobustEstimate> robust = robust_estimate(values);
        summary.robust.push_back(robust);
        if (!robust)
            continue;
        for (const FarValue& far : far_values(values, *robust)) {
            const KeptSetting& kept = condition.kept[far.index];
            summary.far.push_back({sessions.at(static_cast<std::size_t>(kept.session)), kept.trial,
                                   condition.axes[axis], values[far.index], far.scales});
        }
    }
}

std::vector<MatchPoint> points_of(const KeptCondition& condition, const std::vector<std::string>& sessions) {
    std::vector<MatchPoint> points;
    for (std::size_t i = 0; i < condition.kept.size(); ++i) {
        const KeptSetting& kept = condition.kept[i];
        MatchPoint point;
        point.session = sessions.at(static_cast<std::size_t>(kept.session));
        point.trial = kept.trial;
        for (std::size_t axis = 0; axis < condition.axes.size(); ++axis) {
            point.start.push_back(condition.start(i, axis));
            point.setting.push_back(condition.setting(i, axis));
        }
        point.contrast = kept.contrast;
        point.ls_from_predicted = kept.ls_from_predicted;
        point.ls = kept.ls;
        point.xy = kept.xy;
        point.uv = uv_of(kept);
        points.push_back(point);
    }
    return points;
}

// Settings of one condition and session, by x of each.
template <class X>
std::optional<PooledSlope> slope_within(const std::vector<std::pair<const KeptCondition*, std::size_t>>& axes,
                                        const X& x) {
    std::vector<std::vector<SlopePoint>> groups;
    for (const auto& [condition, axis] : axes) {
        std::map<std::int32_t, std::vector<SlopePoint>> by_session;
        for (std::size_t i = 0; i < condition->kept.size(); ++i)
            by_session[condition->kept[i].session].push_back(
                {x(*condition, i, axis), condition->setting(i, axis)});
        for (auto& [session, points] : by_session)
            groups.push_back(std::move(points));
    }
    return pooled_slope(groups);
}

}  // namespace

ConditionSummary participant_summary(const std::string& participant, const KeptCondition& condition,
                                     const std::vector<std::string>& sessions, bool keep_settings) {
    ISOSEAM_CHECK(!condition.kept.empty());
    const KeptCondition* const only[] = {&condition};
    ConditionSummary summary = common_figures(only);
    summary.participant = participant;
    add_robust(summary, condition, sessions);
    summary.axes_from_predicted = axes_test(condition);
    const bool ls_tested = condition.axes.size() >= 2 && condition.asked_ls.dimensions() == 2;
    summary.chromaticity = scatter_by(condition, ls_tested, &KeptSetting::ls_from_predicted);
    summary.xy = scatter_by(condition, false, &KeptSetting::xy);
    summary.uv = scatter_by(condition, false, uv_of);
    summary.contrast_scatter = contrast_scatter_of(condition);
    if (keep_settings)
        summary.points = points_of(condition, sessions);
    return summary;
}

ConditionSummary pooled_summary(std::span<const KeptCondition* const> conditions) {
    ISOSEAM_CHECK(!conditions.empty());
    ConditionSummary summary = common_figures(conditions);
    // Settings of one person resemble each other, so an interval as for independent settings would be too
    // narrow.
    for (Estimate& setting : summary.setting)
        setting.interval_95.reset();
    for (Estimate& contrast : summary.contrast)
        contrast.interval_95.reset();
    summary.duration_s.interval_95.reset();
    return summary;
}

std::vector<AxisTrend> axis_trends(std::span<const KeptCondition* const> conditions) {
    using Name = std::pair<std::string, std::string>;  // space, axis
    std::map<Name, std::vector<std::pair<const KeptCondition*, std::size_t>>> by_axis;
    for (const KeptCondition* condition : conditions) {
        for (std::size_t axis = 0; axis < condition->axes.size(); ++axis)
            by_axis[{condition->space, condition->axes[axis]}].emplace_back(condition, axis);
    }
    std::vector<AxisTrend> trends;
    for (const auto& [name, axes] : by_axis) {
        AxisTrend trend{name.first, name.second, std::nullopt, std::nullopt};
        trend.drift = slope_within(axes, [](const KeptCondition& condition, std::size_t i, std::size_t) {
            return static_cast<double>(condition.kept[i].trial);
        });
        trend.start = slope_within(axes, [](const KeptCondition& condition, std::size_t i, std::size_t axis) {
            return condition.start(i, axis);
        });
        trends.push_back(trend);
    }
    return trends;
}

std::vector<ComponentsSummary> components_of(std::span<const KeptCondition* const> by_participant) {
    const KeptCondition& first = *by_participant.front();
    std::vector<std::pair<std::string, Value>> coordinates;
    for (std::size_t axis = 0; axis < first.axes.size(); ++axis)
        coordinates.emplace_back(first.axes[axis], along_axis(axis));
    const std::array names = {"contrast L", "contrast M", "contrast S"};
    for (std::size_t cone = 0; cone < names.size(); ++cone)
        coordinates.emplace_back(names[cone], of_cone(cone));
    const auto all_have_ls = [](const KeptCondition* condition) {
        return std::all_of(condition->kept.begin(), condition->kept.end(),
                           [](const KeptSetting& kept) { return kept.ls.has_value(); });
    };
    if (std::all_of(by_participant.begin(), by_participant.end(), all_have_ls)) {
        for (Eigen::Index i = 0; i < 2; ++i)
            coordinates.emplace_back(i == 0 ? "l" : "s", [i](const KeptCondition& condition, std::size_t k) {
                return (*condition.kept[k].ls_from_predicted)[i];
            });
    }
    std::vector<ComponentsSummary> summaries;
    for (const auto& [name, value] : coordinates) {
        std::vector<std::vector<double>> values;
        for (const KeptCondition* condition : by_participant) {
            const KeptCondition* const only[] = {condition};
            values.push_back(values_of(only, value));
        }
        if (const std::optional<VarianceComponents> components = variance_components(values))
            summaries.push_back({first.condition, first.space, name, *components});
    }
    return summaries;
}

}  // namespace isoseam
