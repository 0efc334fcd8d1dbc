// The summary as text and as JSON.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

#include "analysis/match_summary.h"
#include "analysis/text_layout.h"

namespace isoseam {
namespace {

constexpr double kPercent = 100.0;
constexpr std::size_t kNameWidth = 24;
constexpr std::size_t kHashDigits = 8;  // enough to tell protocols apart by eye; JSON has all

// How the coordinates of a space are shown.
struct SpaceUnit {
    double factor;
    int decimals;
    const char* name;
};
SpaceUnit unit_of(const std::string& space) {
    if (space == "macleod_boynton") {
        return {1.0, 6, "difference"};
    }
    return {kPercent, 3, space == "primaries" ? "% of drive" : "% contrast"};
}

std::string sd_text(const Estimate& estimate, double factor, int decimals) {
    return estimate.sd ? fixed(*estimate.sd * factor, decimals) : "n.d.";
}

std::string contrast_row(const ConditionSummary& row) {
    std::string text = fmt::format("{}{:>5}", name_cell(row.condition, kNameWidth), row.settings);
    for (const Estimate& cone : row.contrast) {
        text += fmt::format("{:>8}{:>8}", fixed(cone.mean * kPercent, 3), sd_text(cone, kPercent, 3));
    }
    return text + fmt::format("{:>10}{:>8}{:>9}{:>6}\n", fixed(row.distance * kPercent, 3),
                              fixed(row.duration_s.mean, 1), row.refused_steps, row.starts_moved);
}

std::string axis_rows(const ConditionSummary& row) {
    std::string text;
    const SpaceUnit unit = unit_of(row.space);
    for (std::size_t axis = 0; axis < row.axes.size(); ++axis) {
        const Estimate& setting = row.setting[axis];
        text += fmt::format("{}{}{:>12}{:>12}  {}\n", name_cell(row.condition, kNameWidth),
                            name_cell(row.axes[axis], kNameWidth),
                            fixed(setting.mean * unit.factor, unit.decimals),
                            sd_text(setting, unit.factor, unit.decimals), unit.name);
    }
    return text;
}

std::string series_heading(const MatchSeries& series) {
    std::string text = wrapped(fmt::format("Matches by protocol {} ({})", series.protocol_file,
                                           series.protocol_sha256.substr(0, kHashDigits)));
    if (series.kind == "rehearsal") {
        text += "REHEARSAL: settings of simulated observers, not of people\n";
    }
    if (series.demo_calibration) {
        text += "DEMO CALIBRATION: invented or estimated data about the screens, not for science\n";
    }
    if (series.calibrations_differ) {
        text +=
            "The sessions used different calibrations; contrasts are from each session's own predicted "
            "match.\n";
    }
    for (const std::string& caution : series.cautions) {
        text += wrapped("Caution: " + caution);
    }
    return text;
}

// Coordinates are small: in thousandths.
constexpr double kThousandths = 1000.0;

std::string ellipse_cells(const Scatter& scatter, EllipseKind kind) {
    const Ellipse ellipse = ellipse_of(scatter, kind);
    return fmt::format("{:>8}{:>8}{:>7}", fixed(kThousandths * ellipse.semi_major, 3),
                       fixed(kThousandths * ellipse.semi_minor, 3),
                       ellipse.nearly_round ? "round" : fixed(ellipse.angle_deg, 0));
}

std::string chromaticity_row(const ConditionSummary& row) {
    const Scatter& scatter = *row.chromaticity;
    const std::string p = scatter.from_origin ? fixed(scatter.from_origin->p, 3) : "n.d.";
    return fmt::format("{}{:>8}{:>8}{}{}{:>11}\n", name_cell(row.condition, kNameWidth),
                       fixed(kThousandths * scatter.mean[0], 3), fixed(kThousandths * scatter.mean[1], 3),
                       ellipse_cells(scatter, EllipseKind::of_settings),
                       ellipse_cells(scatter, EllipseKind::of_mean), p);
}

// Empty where no condition has settings enough.
std::string chromaticity_table(const std::vector<const ConditionSummary*>& rows) {
    std::string text;
    for (const ConditionSummary* row : rows) {
        if (row->chromaticity)
            text += chromaticity_row(*row);
    }
    if (text.empty())
        return text;
    return fmt::format("\n{:{}}{:>16}{:>23}{:>23}{:>11}\n", "", kNameWidth, "l, s x 1000", "95 % of settings",
                       "95 % of the mean", "Hotelling") +
           fmt::format("{:<{}}{:>8}{:>8}{:>8}{:>8}{:>7}{:>8}{:>8}{:>7}{:>11}\n", "condition", kNameWidth, "l",
                       "s", "major", "minor", "deg", "major", "minor", "deg", "p") +
           text;
}

std::string participant_tables(const std::vector<const ConditionSummary*>& rows, const MatchSeries& series) {
    std::string text = rows.front()->participant
                           ? fmt::format("\nParticipant {}\n", *rows.front()->participant)
                           : fmt::format("\nAll {} participants, every setting with the same weight\n",
                                         series.participants.size());
    text += fmt::format("{:{}}{:>5}{:>48}\n", "", kNameWidth, "",
                        "contrast from the predicted match, % (mean, SD)");
    text += fmt::format("{:<{}}{:>5}{:>8}{:>8}{:>8}{:>8}{:>8}{:>8}{:>10}{:>8}{:>9}{:>6}\n", "condition",
                        kNameWidth, "n", "L", "SD", "M", "SD", "S", "SD", "distance", "time s", "refused",
                        "moved");
    for (const ConditionSummary* row : rows) {
        text += contrast_row(*row);
    }
    text += fmt::format("\n{:<{}}{:<{}}{:>12}{:>12}  {}\n", "condition", kNameWidth, "axis", kNameWidth,
                        "setting", "SD", "unit");
    for (const ConditionSummary* row : rows) {
        text += axis_rows(*row);
    }
    return text + chromaticity_table(rows);
}

std::string series_text(const MatchSeries& series) {
    std::string text = series_heading(series);
    std::vector<const ConditionSummary*> rows;
    for (const ConditionSummary& row : series.conditions) {
        if (!rows.empty() && rows.front()->participant != row.participant) {
            text += participant_tables(rows, series);
            rows.clear();
        }
        rows.push_back(&row);
    }
    return text + participant_tables(rows, series) + "\n";
}

nlohmann::json estimate_json(const Estimate& estimate, double factor) {
    return {{"mean", estimate.mean * factor},
            {"sd", estimate.sd ? nlohmann::json(*estimate.sd * factor) : nlohmann::json()}};
}

nlohmann::json ellipse_json(const Ellipse& ellipse) {
    return {{"semi_major", ellipse.semi_major},
            {"semi_minor", ellipse.semi_minor},
            {"angle_deg", ellipse.angle_deg},
            {"nearly_round", ellipse.nearly_round}};
}

nlohmann::json chromaticity_json(const std::optional<Scatter>& scatter) {
    if (!scatter) {
        return {};
    }
    nlohmann::json ellipses;
    for (const EllipseKind kind :
         {EllipseKind::of_settings, EllipseKind::of_next_setting, EllipseKind::of_mean}) {
        ellipses[to_string(kind)] = ellipse_json(ellipse_of(*scatter, kind));
    }
    nlohmann::json test;
    if (scatter->from_origin) {
        test = {{"t_squared", scatter->from_origin->t_squared}, {"p", scatter->from_origin->p}};
    }
    const Eigen::Matrix2d& c = scatter->covariance;
    return {{"mean", {scatter->mean[0], scatter->mean[1]}},
            {"covariance", {{c(0, 0), c(0, 1)}, {c(1, 0), c(1, 1)}}},
            {"ellipses_95_percent", ellipses},
            {"hotelling_from_predicted", test}};
}

nlohmann::json condition_json(const ConditionSummary& row) {
    nlohmann::json axes = nlohmann::json::array();
    for (std::size_t axis = 0; axis < row.axes.size(); ++axis) {
        nlohmann::json entry = estimate_json(row.setting[axis], 1.0);
        entry["name"] = row.axes[axis];
        axes.push_back(entry);
    }
    return {{"participant", row.participant ? nlohmann::json(*row.participant) : nlohmann::json()},
            {"condition", row.condition},
            {"settings", row.settings},
            {"space", row.space},
            {"axes", axes},
            {"contrast_percent",
             {{"l", estimate_json(row.contrast[0], kPercent)},
              {"m", estimate_json(row.contrast[1], kPercent)},
              {"s", estimate_json(row.contrast[2], kPercent)}}},
            {"distance_percent", row.distance * kPercent},
            {"macleod_boynton_from_predicted", chromaticity_json(row.chromaticity)},
            {"duration_s", estimate_json(row.duration_s, 1.0)},
            {"refused_steps", row.refused_steps},
            {"starts_moved", row.starts_moved}};
}

nlohmann::json series_json(const MatchSeries& series) {
    nlohmann::json conditions = nlohmann::json::array();
    for (const ConditionSummary& row : series.conditions) {
        conditions.push_back(condition_json(row));
    }
    return {{"kind", series.kind},
            {"demo_calibration", series.demo_calibration},
            {"protocol", {{"file", series.protocol_file}, {"sha256", series.protocol_sha256}}},
            {"calibrations_differ", series.calibrations_differ},
            {"cautions", series.cautions},
            {"sessions", series.sessions},
            {"participants", series.participants},
            {"conditions", conditions}};
}

}  // namespace

std::string match_summary_text(const MatchSummary& summary) {
    std::string text;
    for (const MatchSeries& series : summary.series) {
        text += series_text(series);
    }
    if (!summary.series.empty()) {
        text += wrapped(
            "distance: length of the mean contrast, in %. refused: steps out of gamut, not taken. moved: "
            "random starts out of "
            "gamut, moved towards the predicted match. n.d.: not defined, since one setting has no SD.");
        text += wrapped(
            "l, s: MacLeod-Boynton chromaticity of the nominal observer, setting minus predicted match. "
            "Ellipses: "
            "semi-axes and the angle of the major one from the l axis; 95 % of settings takes the covariance "
            "as if it "
            "were known, 95 % of the mean is where the mean of endless settings is. p: Hotelling's "
            "test that "
            "the mean is the predicted match; of many conditions some are below 0.05 by chance.");
        text += wrapped(
            "The predicted match is that of the nominal observer. A distance from it is no diagnosis: "
            "screening and diagnosis of "
            "colour-vision deficiency belong to a qualified person with an approved instrument.");
        text += "\n";
    }
    return text + folders_text(summary.folders, "setting");
}

nlohmann::json to_json(const MatchSummary& summary) {
    nlohmann::json series = nlohmann::json::array();
    for (const MatchSeries& one : summary.series) {
        series.push_back(series_json(one));
    }
    return {{"folders", folders_json(summary.folders, "setting")}, {"series", series}};
}

}  // namespace isoseam
