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

// The units' mean and its interval, with the SD of settings.
Estimate mean_of_units(const UnitMeans& units, Eigen::Index coordinate, std::span<const double> settings) {
    Estimate result = estimate(units.of(coordinate));
    result.sd = estimate(settings).sd;
    return result;
}

std::vector<SettingPlace> places_of(Conditions conditions) {
    std::vector<SettingPlace> places;
    for (std::size_t i = 0; i < conditions.size(); ++i) {
        for (const KeptSetting& kept : conditions[i]->kept)
            places.push_back({static_cast<int>(i), kept.session});
    }
    return places;
}

// The values along an axis by participant and session, in order of the settings.
std::vector<std::vector<double>> by_session(Conditions conditions, std::size_t axis) {
    std::vector<std::vector<double>> sessions;
    for (const KeptCondition* condition : conditions) {
        std::map<std::int32_t, std::vector<double>> own;
        for (std::size_t i = 0; i < condition->kept.size(); ++i)
            own[condition->kept[i].session].push_back(condition->setting(i, axis));
        for (auto& [session, values] : own)
            sessions.push_back(std::move(values));
    }
    return sessions;
}

// Everything that rests on the numbers of single settings. The first rows of the units are the axes.
UnitMeans add_estimates(ConditionSummary& summary, Conditions conditions) {
    std::vector<Value> coordinates;
    for (std::size_t axis = 0; axis < summary.axes.size(); ++axis)
        coordinates.push_back(along_axis(axis));
    for (std::size_t cone = 0; cone < 3; ++cone)
        coordinates.push_back(of_cone(cone));
    coordinates.emplace_back([](const KeptCondition& c, std::size_t i) { return c.kept[i].duration_s; });
    const std::vector<SettingPlace> places = places_of(conditions);
    Eigen::MatrixXd settings(std::ssize(coordinates), std::ssize(places));
    std::vector<std::vector<double>> values;
    for (std::size_t k = 0; k < coordinates.size(); ++k) {
        values.push_back(values_of(conditions, coordinates[k]));
        settings.row(static_cast<Eigen::Index>(k)) =
            Eigen::Map<const Eigen::RowVectorXd>(values[k].data(), std::ssize(values[k]));
    }
    UnitMeans units = unit_means(settings, places);
    const auto mean = [&](std::size_t k) {
        return mean_of_units(units, static_cast<Eigen::Index>(k), values[k]);
    };
    const std::size_t axes = summary.axes.size();
    for (std::size_t axis = 0; axis < axes; ++axis) {
        summary.setting.push_back(mean(axis));
        const auto [smallest, largest] = std::minmax_element(values[axis].begin(), values[axis].end());
        summary.range.push_back({*smallest, *largest});
        summary.serial.push_back(serial_correlation(by_session(conditions, axis)));
    }
    for (std::size_t cone = 0; cone < 3; ++cone)
        summary.contrast[cone] = mean(axes + cone);
    summary.duration_s = mean(axes + 3);
    return units;
}

std::optional<HotellingTest> test_of(UnitMeans units, Eigen::Index first, Eigen::Index rows) {
    units.means = units.means.middleRows(first, rows).eval();
    const std::optional<MeanOfUnits> mean = mean_of(units);
    return mean ? mean->from_origin : std::nullopt;
}

Eigen::Vector2d uniform_from_xy(const Eigen::Vector2d& xy) {
    const double divisor = -2.0 * xy[0] + 12.0 * xy[1] + 3.0;  // CIE 015:2018
    return {4.0 * xy[0] / divisor, 9.0 * xy[1] / divisor};
}

constexpr std::size_t kFewestForScatter = 3;

template <class Point>
std::optional<PlaneScatter> plane_of(Conditions conditions, bool tested, const Point& point) {
    std::vector<Eigen::Vector2d> points;
    std::vector<SettingPlace> places;
    for (std::size_t i = 0; i < conditions.size(); ++i) {
        for (const KeptSetting& kept : conditions[i]->kept) {
            if (const std::optional<Eigen::Vector2d> at = std::invoke(point, kept)) {
                points.push_back(*at);
                places.push_back({static_cast<int>(i), kept.session});
            }
        }
    }
    if (points.size() < kFewestForScatter)
        return std::nullopt;
    Eigen::MatrixXd values(2, std::ssize(points));
    for (std::size_t i = 0; i < points.size(); ++i)
        values.col(static_cast<Eigen::Index>(i)) = points[i];
    const UnitMeans units = unit_means(values, places);
    PlaneScatter plane;
    plane.settings_count = points.size();
    for (Eigen::Index i = 0; i < 2; ++i) {
        const Estimate mean = estimate(units.of(i));
        plane.mean[i] = mean.mean;
        plane.mean_95[static_cast<std::size_t>(i)] = mean.interval_95;
    }
    plane.settings = scatter_of(points);
    std::vector<Eigen::Vector2d> of_units;
    for (const auto& column : units.means.colwise())
        of_units.emplace_back(column);
    plane.units = scatter_of(of_units);
    if (plane.units && !tested)
        plane.units->from_origin.reset();
    return plane;
}

std::optional<Eigen::Vector2d> uv_of(const KeptSetting& kept) {
    return kept.xy ? std::optional(uniform_from_xy(*kept.xy)) : std::nullopt;
}

// `contrasts` has a column for each of two or more settings. It is divided by n - 1.
Eigen::Matrix3d covariance_of(const Eigen::Matrix3Xd& contrasts) {
    const Eigen::Vector3d first = contrasts.col(0);  // differences keep the digits of a large common part
    const Eigen::Matrix3Xd from_first = contrasts.colwise() - first;
    const Eigen::Vector3d mean = from_first.rowwise().mean();
    const Eigen::Matrix3Xd centred = from_first.colwise() - mean;
    return centred * centred.transpose() / (static_cast<double>(contrasts.cols()) - 1.0);
}

AskedSpread asked_of(Conditions conditions, AskedSpread KeptCondition::*spread) {
    AskedSpread all = (*conditions.front()).*spread;
    for (const KeptCondition* condition : conditions.subspan(1))
        all.add((*condition).*spread);
    return all;
}

// `units` has the contrasts in three rows from `first` on.
std::optional<ContrastScatter> contrast_scatter_of(Conditions conditions, UnitMeans units,
                                                   Eigen::Index first) {
    std::vector<Eigen::Vector3d> contrasts;
    for (const KeptCondition* condition : conditions) {
        for (const KeptSetting& kept : condition->kept)
            contrasts.push_back(kept.contrast);
    }
    if (contrasts.size() < kFewestForScatter)
        return std::nullopt;
    const auto plane = [&](Eigen::Index other) {
        return *plane_of(conditions, false, [other](const KeptSetting& kept) {
            return std::optional(Eigen::Vector2d(kept.contrast[0], kept.contrast[other]));
        });
    };
    units.means = units.means.middleRows(first, 3).eval();
    const std::optional<MeanOfUnits> mean = mean_of(units);
    ContrastScatter scatter;
    scatter.mean = mean ? Eigen::Vector3d(mean->mean) : Eigen::Vector3d(units.means.col(0));
    scatter.covariance =
        covariance_of(Eigen::Map<const Eigen::Matrix3Xd>(contrasts.front().data(), 3, std::ssize(contrasts)));
    if (mean)
        scatter.covariance_of_mean = Eigen::Matrix3d(mean->covariance);
    scatter.lm = plane(1);
    scatter.ls = plane(2);
    for (const AskedSpread::Point& direction :
         asked_of(conditions, &KeptCondition::asked_contrast).not_reached())
        scatter.not_reached.emplace_back(direction);
    if (mean && scatter.not_reached.empty() && conditions.front()->axes.size() >= 3)
        scatter.from_predicted = mean->from_origin;
    return scatter;
}

// The figures that do not depend on whose settings they are.
ConditionSummary common_figures(Conditions conditions) {
    const KeptCondition& first = *conditions.front();
    ConditionSummary summary;
    summary.condition = first.condition;
    summary.space = first.space;
    summary.axes = first.axes;
    const UnitMeans units = add_estimates(summary, conditions);
    summary.settings = units.settings;
    summary.sessions = units.sessions;
    summary.unit = units.unit;
    summary.units = static_cast<std::size_t>(units.means.cols());
    summary.one_session_only = units.one_session_only();
    summary.person_and_day_are_one = units.person_and_day_are_one();
    summary.distance =
        ConeContrast{summary.contrast[0].mean, summary.contrast[1].mean, summary.contrast[2].mean}.length();
    for (const KeptCondition* condition : conditions) {
        for (const KeptSetting& kept : condition->kept) {
            summary.refused_steps += kept.refused_steps;
            summary.starts_moved += kept.start_moved ? 1 : 0;
        }
    }
    summary.axes_from_predicted = test_of(units, 0, std::ssize(first.axes));
    const bool ls_tested =
        first.axes.size() >= 2 && asked_of(conditions, &KeptCondition::asked_ls).dimensions() == 2;
    summary.chromaticity = plane_of(conditions, ls_tested, &KeptSetting::ls_from_predicted);
    summary.xy = plane_of(conditions, false, &KeptSetting::xy);
    summary.uv = plane_of(conditions, false, uv_of);
    summary.contrast_scatter = contrast_scatter_of(conditions, units, std::ssize(first.axes));
    return summary;
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

void leave_out_settings(std::optional<PlaneScatter>& plane) {
    if (!plane)
        return;
    plane->settings.reset();
    if (!plane->units)
        plane.reset();
}

}  // namespace

std::optional<Ellipse> ellipse_of(const PlaneScatter& plane, EllipseKind kind) {
    const std::optional<Scatter>& scatter = kind == EllipseKind::of_mean ? plane.units : plane.settings;
    return scatter ? std::optional(ellipse_of(*scatter, kind)) : std::nullopt;
}

ConditionSummary participant_summary(const std::string& participant, const KeptCondition& condition,
                                     const std::vector<std::string>& sessions, bool keep_settings) {
    ISOSEAM_CHECK(!condition.kept.empty());
    const KeptCondition* const only[] = {&condition};
    ConditionSummary summary = common_figures(only);
    summary.participant = participant;
    add_robust(summary, condition, sessions);
    if (keep_settings)
        summary.points = points_of(condition, sessions);
    return summary;
}

ConditionSummary pooled_summary(std::span<const KeptCondition* const> conditions) {
    ISOSEAM_CHECK(!conditions.empty());
    ConditionSummary summary = common_figures(conditions);
    for (std::optional<PlaneScatter>* plane : {&summary.chromaticity, &summary.xy, &summary.uv})
        leave_out_settings(*plane);
    if (std::optional<ContrastScatter>& scatter = summary.contrast_scatter) {
        scatter->covariance.reset();
        scatter->lm.settings.reset();
        scatter->ls.settings.reset();
        if (!scatter->lm.units)
            scatter.reset();
    }
    return summary;
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
