#pragma once
// The mean slope of several participants, where slopes differ from participant to participant:
//     y_gi = level_g + (mean slope + own slope of the participant) x_gi + e_gi
// Each group of settings (a condition of a session, say) has a level of its own and belongs to one
// participant. Participants are the units: many settings of few people tell of these people's slopes, and
// less of the mean slope. pooled_slope.h is of one participant.

#include <optional>
#include <span>
#include <vector>

#include "analysis/statistics/nested_effects.h"
#include "analysis/statistics/pooled_slope.h"

namespace isoseam {

// The groups of each participant.
using ParticipantGroups = std::vector<std::vector<SlopePoint>>;

// The mean of the participants' slopes, each by least squares and each with the same weight; Student's t over
// participants. As for unit_means.h, the interval holds where participants made different numbers of
// settings, too. Participants whose x does not differ within a group have no slope and do not count; there is
// no result for fewer than two others.
std::optional<PooledSlope> mean_of_slopes(std::span<const ParticipantGroups> participants);

// The same by restricted maximum likelihood, which weighs participants by what their settings tell of their
// slopes, with Satterthwaite's degrees of freedom.
struct VaryingSlope {
    FixedEffect mean;
    double slope_variance = 0.0;  // of participants' own slopes; 0 or more
    double setting_variance = 0.0;
};
// There is no result for fewer than two participants with a slope, or if all settings lie on their lines.
std::optional<VaryingSlope> varying_slope(std::span<const ParticipantGroups> participants);

}  // namespace isoseam
