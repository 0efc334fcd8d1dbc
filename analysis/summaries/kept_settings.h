#pragma once
// This is what is kept of each setting while folders are gathered: the numbers that the summary's figures
// need, without the record.

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "analysis/summaries/shown_lights.h"
#include "results_schema/session_folder.h"

namespace isoseam {

struct KeptSetting {
    std::int32_t session = 0;  // index into the sessions of the series
    std::int32_t trial = 0;
    bool start_moved = false;
    std::int32_t refused_steps = 0;
    double duration_s = 0.0;
    Eigen::Vector3d contrast;  // from the predicted match
    // Of the adjusted half. A light that does not excite L and M has no luminance and no chromaticity.
    std::optional<Eigen::Vector2d> ls;
    std::optional<Eigen::Vector2d> ls_from_predicted;  // there is one wherever there is an `ls`
    std::optional<Eigen::Vector2d> xy;                 // CIE 1931
};

Lms lms_of(const std::array<double, 3>& recorded);
// Says whether `a` is `factor` times `b` but for rounding.
bool same_excitation(const Lms& a, const Lms& b, double factor = 1.0);

// This class finds how the settings of one condition spread as they were asked for, before rounding to codes.
// From this follows which directions their axes reach. Mean and sum of products use Welford's recurrence.
class AskedSpread {
  public:
    // A point has two or three dimensions. It takes no memory from the heap, since there are many settings.
    using Point = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, 3, 1>;
    void add(const Point& point);
    void add(const AskedSpread& others);  // of as many dimensions
    // Gives the directions of the space, as unit vectors, in which the points do not spread.
    std::vector<Point> not_reached() const;
    // This is 0 if there are no points.
    int dimensions() const;

  private:
    double count_ = 0.0;
    Point mean_;
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, 3, 3> products_;
};

// The settings of one participant in one condition.
class KeptCondition {
  public:
    explicit KeptCondition(const SettingRecord& first);
    // Settings with different axes are never averaged, though one protocol should not give any.
    bool same_kind(const SettingRecord& setting) const;
    using Key = std::tuple<std::string, std::string, std::vector<std::string>>;
    Key key() const { return {condition, space, axes}; }

    void reserve(std::size_t settings);
    void add(const SettingRecord& setting, const KeptSetting& kept);
    void add(const KeptCondition& others);  // of the same key
    double setting(std::size_t i, std::size_t axis) const { return settings_[i * axes.size() + axis]; }
    double start(std::size_t i, std::size_t axis) const { return starts_[i * axes.size() + axis]; }

    std::string condition;
    std::string space;
    std::vector<std::string> axes;
    std::vector<KeptSetting> kept;
    AskedSpread asked_contrast;  // from the predicted match
    // Relative to l and s of the predicted match.
    AskedSpread asked_ls;

  private:
    std::vector<double> settings_;  // by setting, then axis
    std::vector<double> starts_;
};

// This says for whose cones the figures are.
struct SettingEye {
    const Observer* observer = nullptr;
    // If there is none, excitations are taken as recorded, for the nominal observer.
    std::optional<ShownLights::Excitations> recomputed;
};
// There is no result if the predicted match cannot be known for that eye: it is neither what the reference
// half excites in that eye, nor (for a test light at the reference's luminance) proportional to what was
// asked for. `shown` is null if calibrations cannot be read; then there is no xy.
std::optional<KeptSetting> kept_setting(const SettingRecord& setting, const SettingEye& eye,
                                        const ShownLights* shown);

// These are the kept settings of one session.
struct KeptSession {
    SessionFolder folder;  // without its records
    // The number of settings that the folder holds.
    std::size_t settings = 0;
    std::vector<KeptCondition> conditions;
    // For each condition, the number of settings for which kept_setting() gives no result.
    std::map<std::string, std::size_t> untold;
    // This is "" if the lights that the session showed are known.
    std::string no_lights_because;

    void keep(const std::vector<SettingRecord>& records, const SettingEye& eye, const ShownLights* shown);
};

}  // namespace isoseam
