#include "analysis/statistics/mean_slope.h"

#include <array>
#include <cmath>

#include "analysis/statistics/distributions.h"
#include "analysis/statistics/estimate.h"

namespace isoseam {
namespace {

std::vector<double> slopes_of(std::span<const ParticipantGroups> participants) {
    std::vector<double> slopes;
    for (const ParticipantGroups& groups : participants)
        if (const std::optional<double> slope = least_squares_slope(groups))
            slopes.push_back(*slope);
    return slopes;
}

}  // namespace

std::optional<PooledSlope> mean_of_slopes(std::span<const ParticipantGroups> participants) {
    const std::vector<double> slopes = slopes_of(participants);
    if (slopes.size() < 2)
        return std::nullopt;
    const Estimate own = estimate(slopes);
    PooledSlope result;
    result.degrees = static_cast<double>(slopes.size()) - 1.0;
    result.slope = own.mean;
    result.standard_error = *own.sd / std::sqrt(static_cast<double>(slopes.size()));
    result.interval_95 = *own.interval_95;
    if (result.standard_error > 0.0)
        result.p = student_t_two_sided_p(result.slope / result.standard_error, result.degrees);
    else
        result.p = result.slope == 0.0 ? 1.0 : 0.0;
    return result;
}

std::optional<VaryingSlope> varying_slope(std::span<const ParticipantGroups> participants) {
    if (slopes_of(participants).size() < 2)
        return std::nullopt;
    NestedSettings settings(1);
    int group_number = 0;
    for (std::size_t i = 0; i < participants.size(); ++i) {
        for (const std::vector<SlopePoint>& group : participants[i]) {
            for (const SlopePoint& point : group)
                settings.add(static_cast<int>(i), group_number, point.y, std::array{point.x});
            ++group_number;
        }
    }
    RestrictedModel model;
    model.levels_fixed = true;
    model.varies_by_participant = 0;
    const std::optional<RestrictedFit> fit = restricted_fit(model, settings.sessions());
    if (!fit)
        return std::nullopt;
    return VaryingSlope{fixed_effect(weighted_effect(*fit, Eigen::VectorXd::Ones(1))),
                        fit->participant_variance, fit->variance};
}

}  // namespace isoseam
