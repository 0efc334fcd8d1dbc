#pragma once
// What a set of matches comes to: per condition the mean setting, its spread, and its distance from the
// predicted match; what differs between observers and within them; drift, and what starting points do.
// Pure: the same folders in the same order give the same summary.

#include <array>
#include <cstdint>
#include <memory>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "analysis/statistics/estimate.h"
#include "analysis/statistics/hotelling.h"
#include "analysis/statistics/pooled_slope.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/scatter.h"
#include "analysis/statistics/variance_components.h"
#include "analysis/summaries/folder_use.h"
#include "analysis/summaries/kept_settings.h"
#include "analysis/summaries/series_facts.h"
#include "colorimetry/observer.h"
#include "results_schema/session_folder.h"

namespace isoseam {

struct MatchOptions {
    // None: the nominal observer of each session, as recorded. Else everything but the settings along their
    // axes is computed anew for this eye, from drive values and calibrations; it must have three cones
    // (InputError). The predicted match is then what this eye catches of the reference half; of a test light
    // at the reference's luminance, that light at the reference's luminance for this eye.
    std::optional<Observer> eye;
    bool keep_settings = false;  // ConditionSummary::points, for drawings
};

// One setting, as the figures use it.
struct MatchPoint {
    std::string session;
    int trial = 0;
    std::vector<double> start;                         // per axis
    std::vector<double> setting;                       // per axis, 0 = predicted match
    Eigen::Vector3d contrast;                          // from the predicted match
    std::optional<Eigen::Vector2d> ls_from_predicted;  // none: a light without luminance
    std::optional<Eigen::Vector2d> ls;                 // of the adjusted half
    std::optional<Eigen::Vector2d> xy;  // CIE 1931; none: black, or the calibration cannot be read
    std::optional<Eigen::Vector2d> uv;  // u', v' (CIE 1976)
};

// The smallest and the largest setting on an axis, and what follows: how matches with names are reported.
struct AxisRange {
    double smallest = 0.0;
    double largest = 0.0;
    double midpoint() const { return smallest + 0.5 * (largest - smallest); }
    double half_range() const { return 0.5 * (largest - smallest); }
};

// A setting far from the others of its condition. It counts like every other one.
struct FarSetting {
    std::string session;
    int trial = 0;
    std::string axis;
    double setting = 0.0;
    double scales = 0.0;  // from the robust location, in robust SDs; signed
};

// Cone contrasts of settings from the predicted match. Ellipses are drawn in two planes, L with M and L with
// S, since an ellipsoid on paper cannot be read: the first shows luminance (along its diagonal) against L-M,
// the second what S does; M with S adds nothing that the covariance does not say.
struct ContrastScatter {
    Eigen::Vector3d mean;
    Eigen::Matrix3d covariance;
    Scatter lm;  // its test is left out
    Scatter ls;
    std::optional<HotellingTest> from_predicted;
    // Directions (in L, M, S, of length 1) that the axes of adjustment did not move settings in; what there
    // is of scatter along them comes from rounding to codes. Where there are any, there is no test.
    std::vector<Eigen::Vector3d> not_reached;
};

// Along one axis, on what differs within one condition of one session.
struct AxisTrend {
    std::string space;
    std::string axis;
    std::optional<PooledSlope> drift;  // change of the setting per trial of the session
    std::optional<PooledSlope>
        start;  // change per change of the start: 0 none, 1 settings stay at their start
};

// The settings of one condition, by one participant or by all.
struct ConditionSummary {
    std::optional<std::string> participant;  // none: all participants, each setting with the same weight
    std::string condition;
    std::size_t settings = 0;
    std::string space;
    std::vector<std::string> axes;
    std::vector<Estimate> setting;     // per axis, in its unit, 0 = predicted match
    std::vector<AxisRange> range;      // per axis
    std::array<Estimate, 3> contrast;  // from the predicted match, L, M, S, as fractions
    double distance = 0.0;             // length of the mean contrast, a fraction
    Estimate duration_s;
    std::int64_t refused_steps = 0;  // that would have left the gamut
    int starts_moved = 0;            // settings whose random start was out of gamut

    // What follows is a participant's own: none, or empty, in rows of all participants, whose spread is
    // another thing than one person's. In rows of all, no Estimate has an interval either.
    std::vector<std::optional<RobustEstimate>> robust;  // per axis
    std::vector<FarSetting> far;                        // by axis, then in order of the settings
    std::optional<HotellingTest> axes_from_predicted;   // in the axes of adjustment, as many as there are
    // From three settings on. MacLeod-Boynton l and s, setting minus predicted match; its test only where the
    // axes move l and s independently.
    std::optional<Scatter> chromaticity;
    std::optional<Scatter> xy;  // CIE 1931 chromaticity of the adjusted half; no test
    std::optional<Scatter> uv;  // u', v' (CIE 1976); no test
    std::optional<ContrastScatter> contrast_scatter;
    std::vector<MatchPoint> points;  // only with MatchOptions::keep_settings
};

// One coordinate of one condition, between participants and within them.
struct ComponentsSummary {
    std::string condition;
    std::string space;       // of the settings; axes of one name in two spaces are two things
    std::string coordinate;  // an axis, "contrast L" .. "contrast S", "l" or "s" (from the predicted match)
    VarianceComponents components;
};

struct ParticipantTrends {
    std::optional<std::string> participant;  // none: all together, each session with its own level
    std::vector<AxisTrend> axes;
};

struct MatchSeries : SeriesFacts {
    std::vector<ConditionSummary> conditions;   // by participant, then (if there are several) of all
    std::vector<ParticipantTrends> trends;      // the same order
    std::vector<ComponentsSummary> components;  // if there are several participants
    // What is missing and why: calibrations that cannot be read, settings whose predicted match cannot be
    // told for MatchOptions::eye.
    std::vector<std::string> notes;
};

struct MatchSummary {
    std::string eye;                 // description of MatchOptions::eye; "" for the nominal observers
    std::vector<FolderUse> folders;  // all, in the order given
    std::vector<MatchSeries> series;
};

// Gathers folder by folder and keeps of each setting only what the figures need (some 200 bytes). For many
// folders kept() is called on several threads (in_order() in base/ordered_work.h), and add() in
// their order on one. Left out: damaged folders, folders without a setting, a session that was given before,
// and with an eye of its own those whose calibrations cannot be read.
class MatchSummariser {
  public:
    explicit MatchSummariser(MatchOptions options = {});
    ~MatchSummariser();
    MatchSummariser(MatchSummariser&&) noexcept;
    MatchSummariser& operator=(MatchSummariser&&) noexcept;

    // Safe on several threads at a time.
    KeptSession kept(SessionFolder folder) const;
    void add(KeptSession session);
    MatchSummary finish();  // once; on several threads

  private:
    struct Gathered;
    std::unique_ptr<Gathered> gathered_;
};

MatchSummary summarise_matches(const std::vector<SessionFolder>& folders, const MatchOptions& options = {});

// Tables of at most 110 columns (but paths are never broken), contrasts in per cent. `full`: ellipses in all
// planes, components of all coordinates.
std::string match_summary_text(const MatchSummary& summary, bool full = false);
// Layout in README.md. What is not defined is null.
nlohmann::json to_json(const MatchSummary& summary);

}  // namespace isoseam
