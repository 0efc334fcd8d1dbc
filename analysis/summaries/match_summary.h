#pragma once
// This summary says what a set of matches shows: for each condition the mean setting, its spread, and its
// distance from the predicted match; what differs between observers and within them; drift; and the effect of
// starting points. It is pure: the same folders in the same order give the same summary.

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
#include "analysis/statistics/serial_correlation.h"
#include "analysis/statistics/unit_means.h"
#include "analysis/statistics/variance_components.h"
#include "analysis/summaries/folder_use.h"
#include "analysis/summaries/kept_settings.h"
#include "analysis/summaries/series_facts.h"
#include "colorimetry/observer.h"
#include "results_schema/session_folder.h"

namespace isoseam {

struct MatchOptions {
    // If there is none, the eye is the nominal observer of each session, and its excitations are taken as
    // recorded. If there is one, everything but the settings along their axes is computed anew for this eye,
    // from drive values and calibrations; the eye must have three cones (InputError). The predicted match is
    // then the excitation of this eye by the reference half. For a test light at the reference's luminance it
    // is that light at the luminance that the reference has for this eye.
    std::optional<Observer> eye;
    bool keep_settings = false;  // ConditionSummary::points, for drawings
};

// One setting, as the figures use it.
struct MatchPoint {
    std::string session;
    int trial = 0;
    std::vector<double> start;  // per axis
    // One value for each axis; 0 is the predicted match.
    std::vector<double> setting;
    Eigen::Vector3d contrast;  // from the predicted match
    // There is none for a light without luminance.
    std::optional<Eigen::Vector2d> ls_from_predicted;
    std::optional<Eigen::Vector2d> ls;  // of the adjusted half
    // The chromaticity of CIE 1931. There is none for black, or if the calibration cannot be read.
    std::optional<Eigen::Vector2d> xy;
    std::optional<Eigen::Vector2d> uv;  // u', v' (CIE 1976)
};

// These are the smallest and the largest setting on an axis, and what follows from them. Matches that have
// names are reported in this way.
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
    // The distance from the robust location, in robust SDs, with its sign.
    double scales = 0.0;
};

// Settings on two coordinates.
struct PlaneScatter {
    std::size_t settings_count = 0;
    Eigen::Vector2d mean;  // of the units' means
    // Of each coordinate of the mean. There is none for a single unit.
    std::array<std::optional<Interval>, 2> mean_95;
    // The settings of one participant. A row of all participants has none.
    std::optional<Scatter> settings;
    // The units' means, which give the ellipse of the mean and its test. There is none for fewer than three
    // units.
    std::optional<Scatter> units;
};
// Gives the ellipse of the mean from the units' means, and the other ones from settings. There is none where
// these are absent.
std::optional<Ellipse> ellipse_of(const PlaneScatter& plane, EllipseKind kind);

// These are the cone contrasts of settings from the predicted match. Ellipses are drawn in two planes, L with
// M and L with S, since an ellipsoid on paper cannot be read. The first plane shows luminance (along its
// diagonal) against L-M, and the second shows what S does. M with S adds nothing that the covariance does not
// say.
struct ContrastScatter {
    Eigen::Vector3d mean;                       // of the units' means
    std::optional<Eigen::Matrix3d> covariance;  // of the settings of one participant
    // The covariance of the mean, from the units' means. There is none for a single unit.
    std::optional<Eigen::Matrix3d> covariance_of_mean;
    PlaneScatter lm;  // its test is left out
    PlaneScatter ls;
    std::optional<HotellingTest> from_predicted;  // by the units' means
    // Directions (in L, M, S, of length 1) in which the axes of adjustment did not move settings. Any scatter
    // along them comes from rounding to codes. If there are such directions, there is no test.
    std::vector<Eigen::Vector3d> not_reached;
};

// These are the trends along one axis. They rest on the differences within one condition of one session. One
// participant has one slope for all sessions; of all participants it is the mean of the participants' slopes,
// tested against how these differ.
struct AxisTrend {
    std::string space;
    std::string axis;
    std::optional<PooledSlope> drift;  // change of the setting per trial of the session
    // The change of the setting per change of the start: 0 means no effect, and 1 means that settings stay at
    // their start.
    std::optional<PooledSlope> start;
};

// This summarises the settings of one condition, by one participant or by all.
//
// Every mean is that of units, each with the same weight, and its interval, ellipse and test rest on the units'
// means (unit_means.h). Every SD is that of all settings about their own mean.
struct ConditionSummary {
    // If there is none, the row is of all participants.
    std::optional<std::string> participant;
    std::string condition;
    std::size_t settings = 0;
    std::size_t sessions = 0;
    RepetitionUnit unit = RepetitionUnit::setting;
    std::size_t units = 0;
    // As in unit_means.h.
    bool one_session_only = true;
    bool person_and_day_are_one = true;
    std::string space;
    std::vector<std::string> axes;
    // One for each axis, in the unit of the axis; 0 is the predicted match.
    std::vector<Estimate> setting;
    std::vector<AxisRange> range;      // per axis
    std::array<Estimate, 3> contrast;  // from the predicted match, L, M, S, as fractions
    // The length of the mean contrast, as a fraction.
    double distance = 0.0;
    Estimate duration_s;
    // The number of steps that would have left the gamut.
    std::int64_t refused_steps = 0;
    int starts_moved = 0;  // settings whose random start was out of gamut
    // For each axis: whether settings of one session resemble those that follow them.
    std::vector<std::optional<SerialCorrelation>> serial;
    // The test in the axes of adjustment, in as many dimensions as there are axes.
    std::optional<HotellingTest> axes_from_predicted;
    // The scatter exists for three settings or more of one participant. A row of all participants has it
    // without the settings (their spread means something other than the spread of one person), and only for
    // three units or more.
    //
    // MacLeod-Boynton l and s of the setting minus those of the predicted match. It has a test only if the
    // axes move l and s independently.
    std::optional<PlaneScatter> chromaticity;
    std::optional<PlaneScatter> xy;  // CIE 1931 chromaticity of the adjusted half; no test
    std::optional<PlaneScatter> uv;  // u', v' (CIE 1976); no test
    std::optional<ContrastScatter> contrast_scatter;

    // What follows belongs to a single participant. In rows of all participants it is empty.
    std::vector<std::optional<RobustEstimate>> robust;  // per axis
    std::vector<FarSetting> far;                        // by axis, then in order of the settings
    std::vector<MatchPoint> points;                     // only with MatchOptions::keep_settings
};

// These are the components of variance of one coordinate of one condition, between participants and within
// them.
struct ComponentsSummary {
    std::string condition;
    // The space of the settings. Axes with the same name in two spaces are different things.
    std::string space;
    // The name of an axis, "contrast L" .. "contrast S", "l" or "s" (relative to the predicted match).
    std::string coordinate;
    VarianceComponents components;
};

struct ParticipantTrends {
    // If there is none, all participants are taken together, and each session has its own level.
    std::optional<std::string> participant;
    std::vector<AxisTrend> axes;
};

struct MatchSeries : SeriesFacts {
    // The conditions of each participant, followed by those of all participants if there are several.
    std::vector<ConditionSummary> conditions;
    std::vector<ParticipantTrends> trends;      // the same order
    std::vector<ComponentsSummary> components;  // if there are several participants
    // Says what is missing and why: calibrations that cannot be read, and settings whose predicted match
    // cannot be known for MatchOptions::eye.
    std::vector<std::string> notes;
};

struct MatchSummary {
    // The description of MatchOptions::eye, or "" if the nominal observers are used.
    std::string eye;
    std::vector<FolderUse> folders;  // all, in the order given
    std::vector<MatchSeries> series;
};

// The summariser takes folder by folder and keeps of each setting only what the figures need (some 200
// bytes). For many folders, kept() is called on several threads (in_order() in base/ordered_work.h), and
// add() is called on one thread in the order of the folders. Left out are damaged folders, folders without a
// setting, a session that was given before, and, if MatchOptions::eye is given, sessions whose calibrations
// cannot be read.
class MatchSummariser {
  public:
    explicit MatchSummariser(MatchOptions options = {});
    ~MatchSummariser();
    MatchSummariser(MatchSummariser&&) noexcept;
    MatchSummariser& operator=(MatchSummariser&&) noexcept;

    // This may be called on several threads at a time.
    KeptSession kept(SessionFolder folder) const;
    void add(KeptSession session);
    // May be called only once; it uses several threads.
    MatchSummary finish();

  private:
    struct Gathered;
    std::unique_ptr<Gathered> gathered_;
};

MatchSummary summarise_matches(const std::vector<SessionFolder>& folders, const MatchOptions& options = {});

// Gives tables of at most 110 columns (but paths are never broken), with contrasts in per cent. `full` adds
// the ellipses in all planes and the components of all coordinates.
std::string match_summary_text(const MatchSummary& summary, bool full = false);
// README.md describes the layout. A figure that is not defined is null.
nlohmann::json to_json(const MatchSummary& summary);

}  // namespace isoseam
