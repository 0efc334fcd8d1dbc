#pragma once
// Settings of one session resemble each other, and so do sessions of one participant. So an interval or a
// test of a mean counts what was repeated independently: participants, if there are several; else sessions,
// if there are several; else the settings of the one session. Each of these units enters with its mean, and
// each has the same weight. A participant's mean is the mean of the sessions' means.
//
// From there on the usual methods hold: Student's t (estimate.h), ellipses of the mean (scatter.h),
// Hotelling's test (hotelling.h). Where every participant has as many sessions and every session as many
// settings, they are exact whatever the variances are, and the mean is that of nested_effects.h. Else the
// units' means have unequal variances, and Student's t at 95 % holds the mean in 95 % or more (Bakirov &
// Szekely 2006, Journal of Mathematical Sciences 139, 6497; Ibragimov & Mueller 2010, Journal of Business &
// Economic Statistics 28, 453; both from memory); analysis/README.md says in how many.
//
//     const UnitMeans units = unit_means(values, places);
//     const Estimate mean = estimate(units.of(0));

#include <Eigen/Core>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "analysis/statistics/hotelling.h"

namespace isoseam {

// Any numbers. A session belongs to one participant: two participants may both have a session 0.
struct SettingPlace {
    int participant = 0;
    int session = 0;
};

enum class RepetitionUnit { setting, session, participant };

struct UnitMeans {
    RepetitionUnit unit = RepetitionUnit::setting;
    std::size_t participants = 0;
    std::size_t sessions = 0;
    std::size_t settings = 0;
    // Every participant has as many sessions, and every session as many settings.
    bool balanced = true;
    // A column for each unit, in order of participant, then session; a row for each coordinate.
    Eigen::MatrixXd means;

    // There is one session, so an interval is of this session only: another day may differ by more.
    bool one_session_only() const { return unit == RepetitionUnit::setting; }
    // No participant has several sessions, so what differs between people and what differs between days
    // cannot be told apart.
    bool person_and_day_are_one() const { return sessions == participants; }
    // One coordinate of all units.
    std::vector<double> of(Eigen::Index coordinate) const;
};

// `values` has a column for each setting and a row for each coordinate. There is at least one setting, and
// one place for each (checked).
UnitMeans unit_means(const Eigen::MatrixXd& values, std::span<const SettingPlace> places);
UnitMeans unit_means(std::span<const double> values, std::span<const SettingPlace> places);

// The mean of units and its covariance, as Hotelling's test uses them: the covariance of the units' means,
// divided by units - 1 and by units.
struct MeanOfUnits {
    Eigen::VectorXd mean;
    Eigen::MatrixXd covariance;
    // The test of the mean against the origin. There is none unless there are more units than coordinates:
    // of three cones, four participants, or four sessions of one.
    std::optional<HotellingTest> from_origin;
};
// There is none for a single unit.
std::optional<MeanOfUnits> mean_of(const UnitMeans& units);

}  // namespace isoseam
