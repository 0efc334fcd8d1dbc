// The summary of matches as JSON. Layout in README.md.
#include "analysis/summaries/match_summary.h"
#include "analysis/summaries/summary_json.h"
#include "analysis/summaries/unit_words.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {
namespace {

nlohmann::json interval_json(const Interval& interval, double factor = 1.0) {
    return {{"low", interval.low * factor}, {"high", interval.high * factor}};
}

nlohmann::json estimate_json(const Estimate& estimate, double factor) {
    return {{"mean", estimate.mean * factor},
            {"sd", or_null(estimate.sd, [factor](double sd) { return nlohmann::json(sd * factor); })},
            {"mean_interval_95", or_null(estimate.interval_95, [factor](const Interval& interval) {
                 return interval_json(interval, factor);
             })}};
}

nlohmann::json vector_json(const Eigen::VectorXd& vector) {
    return std::vector<double>(vector.begin(), vector.end());
}

nlohmann::json matrix_json(const Eigen::MatrixXd& matrix) {
    return list_json(matrix.rowwise(), vector_json);
}

nlohmann::json ellipse_json(const Ellipse& ellipse) {
    return {{"semi_major", ellipse.semi_major},
            {"semi_minor", ellipse.semi_minor},
            {"angle_deg", ellipse.angle_deg},
            {"nearly_round", ellipse.nearly_round}};
}

nlohmann::json ellipses_json(const PlaneScatter& plane) {
    nlohmann::json ellipses;
    for (const EllipseKind kind :
         {EllipseKind::of_settings, EllipseKind::of_next_setting, EllipseKind::of_mean})
        ellipses[to_string(kind)] = or_null(ellipse_of(plane, kind), ellipse_json);
    return ellipses;
}

nlohmann::json scatter_json(const PlaneScatter& plane) {
    const std::optional<Scatter>& settings = plane.settings;
    return {{"settings", plane.settings_count},
            {"mean", vector_json(plane.mean)},
            {"mean_interval_95", list_json(plane.mean_95,
                                           [](const std::optional<Interval>& interval) {
                                               return or_null(interval, [](const Interval& of_mean) {
                                                   return interval_json(of_mean);
                                               });
                                           })},
            {"sd", or_null(settings,
                           [](const Scatter& scatter) {
                               return vector_json(scatter.covariance.diagonal().cwiseSqrt());
                           })},
            {"covariance",
             or_null(settings, [](const Scatter& scatter) { return matrix_json(scatter.covariance); })},
            {"covariance_of_mean", or_null(plane.units,
                                           [](const Scatter& units) {
                                               return matrix_json(units.covariance /
                                                                  static_cast<double>(units.count));
                                           })},
            {"ellipses_95_percent", ellipses_json(plane)}};
}

nlohmann::json chromaticity_json(const PlaneScatter& plane) {
    nlohmann::json json = scatter_json(plane);
    json["hotelling_from_predicted"] =
        or_null(plane.units ? plane.units->from_origin : std::nullopt, [](const Scatter::Test& test) {
            return nlohmann::json{{"t_squared", test.t_squared}, {"p", test.p}};
        });
    return json;
}

nlohmann::json hotelling_json(const HotellingTest& test) {
    return {{"dimensions", test.dimensions}, {"t_squared", test.t_squared}, {"p", test.p}};
}

nlohmann::json contrast_scatter_json(const ContrastScatter& scatter) {
    return {{"mean", vector_json(scatter.mean)},
            {"covariance", or_null(scatter.covariance, matrix_json)},
            {"covariance_of_mean", or_null(scatter.covariance_of_mean, matrix_json)},
            {"ellipses_95_percent", {{"l_m", ellipses_json(scatter.lm)}, {"l_s", ellipses_json(scatter.ls)}}},
            {"not_reached_directions", list_json(scatter.not_reached, vector_json)},
            {"hotelling_from_predicted", or_null(scatter.from_predicted, hotelling_json)}};
}

nlohmann::json serial_json(const SerialCorrelation& serial) {
    return {{"lag_one", serial.lag_one},
            {"expected", serial.expected},
            {"p", serial.p},
            {"sessions", serial.sessions},
            {"settings", serial.settings}};
}

nlohmann::json robust_json(const RobustEstimate& robust) {
    return {
        {"location", robust.location}, {"standard_error", robust.standard_error}, {"scale", robust.scale}};
}

nlohmann::json axes_json(const ConditionSummary& row) {
    nlohmann::json axes = nlohmann::json::array();
    for (std::size_t axis = 0; axis < row.axes.size(); ++axis) {
        nlohmann::json entry = estimate_json(row.setting[axis], 1.0);
        entry["name"] = row.axes[axis];
        const AxisRange& range = row.range[axis];
        entry["range"] = {{"smallest", range.smallest},
                          {"largest", range.largest},
                          {"midpoint", range.midpoint()},
                          {"half_range", range.half_range()}};
        entry["robust"] = row.participant ? or_null(row.robust[axis], robust_json) : nlohmann::json();
        entry["serial_correlation"] = or_null(row.serial[axis], serial_json);
        axes.push_back(entry);
    }
    return axes;
}

nlohmann::json far_json(const FarSetting& far) {
    return {{"session", far.session},
            {"trial", far.trial},
            {"axis", far.axis},
            {"setting", far.setting},
            {"robust_sds", far.scales}};
}

nlohmann::json condition_json(const ConditionSummary& row) {
    return {{"participant", or_null(row.participant)},
            {"condition", row.condition},
            {"settings", row.settings},
            {"sessions", row.sessions},
            {"unit", to_string(row.unit)},
            {"units", row.units},
            {"one_session_only", row.one_session_only},
            {"person_and_day_are_one", row.person_and_day_are_one},
            {"space", row.space},
            {"axes", axes_json(row)},
            {"axes_hotelling_from_predicted", or_null(row.axes_from_predicted, hotelling_json)},
            {"far_settings", list_json(row.far, far_json)},
            {"contrast_percent",
             {{"l", estimate_json(row.contrast[0], kPercent)},
              {"m", estimate_json(row.contrast[1], kPercent)},
              {"s", estimate_json(row.contrast[2], kPercent)}}},
            {"contrast_scatter", or_null(row.contrast_scatter, contrast_scatter_json)},
            {"distance_percent", row.distance * kPercent},
            {"macleod_boynton_from_predicted", or_null(row.chromaticity, chromaticity_json)},
            {"xy", or_null(row.xy, scatter_json)},
            {"u_v_prime", or_null(row.uv, scatter_json)},
            {"duration_s", estimate_json(row.duration_s, 1.0)},
            {"refused_steps", row.refused_steps},
            {"starts_moved", row.starts_moved}};
}

nlohmann::json slope_json(const PooledSlope& slope) {
    return {{"slope", slope.slope},
            {"standard_error", slope.standard_error},
            {"interval_95", interval_json(slope.interval_95)},
            {"degrees_of_freedom", slope.degrees},
            {"p", slope.p}};
}

nlohmann::json trend_json(const AxisTrend& trend) {
    return {{"space", trend.space},
            {"name", trend.axis},
            {"drift_per_trial", or_null(trend.drift, slope_json)},
            {"effect_of_start", or_null(trend.start, slope_json)}};
}

nlohmann::json trends_json(const ParticipantTrends& trends) {
    return {{"participant", or_null(trends.participant)}, {"axes", list_json(trends.axes, trend_json)}};
}

nlohmann::json component_json(const ComponentsSummary& summary) {
    const VarianceComponents& c = summary.components;
    return {{"condition", summary.condition},
            {"space", summary.space},
            {"coordinate", summary.coordinate},
            {"participants", c.observers},
            {"settings", c.settings},
            {"mean_of_participants", c.mean},
            {"mean_interval_95", interval_json(c.mean_95)},
            {"between_variance", c.between},
            {"between_interval_95", interval_json(c.between_95)},
            {"within_variance", c.within},
            {"within_interval_95", interval_json(c.within_95)},
            {"between_p", c.p},
            {"participants_differ", c.observers_differ()}};
}

nlohmann::json of_series(const MatchSeries& series) {
    nlohmann::json json = series_json(series, "setting");
    json["conditions"] = list_json(series.conditions, condition_json);
    json["trends"] = list_json(series.trends, trends_json);
    json["components_of_variance"] = list_json(series.components, component_json);
    json["notes"] = series.notes;
    return json;
}

}  // namespace

nlohmann::json to_json(const MatchSummary& summary) {
    return {{"eye", text_or_null(summary.eye)},
            {"folders", folders_json(summary.folders, "setting")},
            {"series", list_json(summary.series, of_series)}};
}

}  // namespace isoseam
