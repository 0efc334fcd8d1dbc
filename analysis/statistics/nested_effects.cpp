#include "analysis/statistics/nested_effects.h"

#include <array>
#include <cmath>

#include "analysis/statistics/distributions.h"
#include "base/errors.h"

namespace isoseam {
namespace {

// The settings of one participant as one group.
std::vector<GroupSums> merged_sessions(const std::vector<GroupSums>& sessions) {
    std::vector<GroupSums> merged;
    for (const GroupSums& session : sessions) {
        if (merged.empty() || merged.back().participant != session.participant) {
            merged.push_back(session);
            continue;
        }
        GroupSums& sums = merged.back();
        const double settings = sums.settings + session.settings;
        const Eigen::VectorXd apart = session.mean - sums.mean;
        sums.products +=
            session.products + sums.settings * session.settings / settings * apart * apart.transpose();
        sums.mean += session.settings / settings * apart;
        sums.settings = settings;
    }
    return merged;
}

// Differences from a common centre keep their digits where the values are large.
std::vector<double> centred(std::vector<GroupSums>& groups) {
    const Eigen::VectorXd first = groups.front().mean;
    Eigen::VectorXd sum = Eigen::VectorXd::Zero(first.size());
    double settings = 0.0;
    for (const GroupSums& group : groups) {
        sum += group.settings * (group.mean - first);
        settings += group.settings;
    }
    const Eigen::VectorXd centre = first + sum / settings;
    for (GroupSums& group : groups)
        group.mean -= centre;
    return {centre.begin(), centre.end()};
}

bool scatters_within(const std::vector<GroupSums>& groups) {
    double within = 0.0;
    double whole = 0.0;
    for (const GroupSums& group : groups) {
        const Eigen::Index y = group.mean.size() - 1;
        within += group.products(y, y);
        whole += group.products(y, y) + group.settings * group.mean[y] * group.mean[y];
    }
    constexpr double kRounding = 1e-12;
    return within > kRounding * whole;
}

}  // namespace

NestedSettings::NestedSettings(std::size_t covariates) : covariates_(covariates) {
    ISOSEAM_CHECK_LE(covariates, kMostCovariates);
}

void NestedSettings::add(int participant, int session, double y, std::span<const double> covariates) {
    ISOSEAM_CHECK_EQ(covariates.size(), covariates_);
    const std::pair key(participant, session);
    if (sums_.empty() || last_key_ != key) {
        const auto columns = static_cast<Eigen::Index>(covariates_ + 1);
        last_ = index_.try_emplace(key, sums_.size()).first->second;
        last_key_ = key;
        if (last_ == sums_.size())
            sums_.push_back(
                {0, 0.0, Eigen::VectorXd::Zero(columns), Eigen::MatrixXd::Zero(columns, columns)});
    }
    // Welford's recurrence, for all columns.
    GroupSums& sums = sums_[last_];
    sums.settings += 1.0;
    std::array<double, kMostCovariates + 1> from_old_mean{};
    std::array<double, kMostCovariates + 1> from_new_mean{};
    for (std::size_t i = 0; i <= covariates_; ++i) {
        const double value = i < covariates_ ? covariates[i] : y;
        ISOSEAM_CHECK(std::isfinite(value), "a setting is not finite");
        double& mean = sums.mean[static_cast<Eigen::Index>(i)];
        from_old_mean.at(i) = value - mean;
        mean += from_old_mean.at(i) / sums.settings;
        from_new_mean.at(i) = value - mean;
    }
    for (std::size_t i = 0; i <= covariates_; ++i)
        for (std::size_t j = 0; j <= covariates_; ++j)
            sums.products(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) +=
                from_old_mean.at(i) * from_new_mean.at(j);
}

std::vector<GroupSums> NestedSettings::sessions() const {
    std::vector<GroupSums> sessions;
    const int* participant = nullptr;
    for (const auto& [key, index] : index_) {
        const bool new_one = participant != nullptr && *participant != key.first;
        const std::size_t number = sessions.empty() ? 0 : sessions.back().participant + (new_one ? 1 : 0);
        sessions.push_back(sums_[index]);
        sessions.back().participant = number;
        participant = &key.first;
    }
    return sessions;
}

FixedEffect fixed_effect(const WeightedEffect& effect) {
    constexpr double kUpper = 0.975;
    const double reach = student_t_quantile(kUpper, effect.degrees) * effect.standard_error;
    return {effect.value,
            effect.standard_error,
            effect.degrees,
            {effect.value - reach, effect.value + reach},
            student_t_two_sided_p(effect.value / effect.standard_error, effect.degrees)};
}

std::optional<NestedFit> fit_nested(const NestedSettings& settings) {
    std::vector<GroupSums> groups = settings.sessions();
    if (groups.empty())
        return std::nullopt;
    NestedFit fit;
    fit.sessions = groups.size();
    fit.participants = groups.back().participant + 1;
    double count = 0.0;
    bool repeats_settings = false;
    for (const GroupSums& group : groups) {
        count += group.settings;
        repeats_settings = repeats_settings || group.settings > 1.0;
    }
    fit.settings = static_cast<std::size_t>(count);
    fit.centre = centred(groups);

    RestrictedModel model;
    model.sessions_random = repeats_settings && fit.sessions > fit.participants;
    if (!model.sessions_random)
        groups = merged_sessions(groups);
    if (fit.participants > 1)
        model.varies_by_participant = 0;
    if (!scatters_within(groups))
        return std::nullopt;
    std::optional<RestrictedFit> restricted = restricted_fit(model, groups);
    if (!restricted)
        return std::nullopt;
    fit.centred = std::move(*restricted);
    fit.setting_variance = fit.centred.variance;
    fit.criterion = fit.centred.criterion;
    if (model.sessions_random)
        fit.session_variance = fit.centred.session_variance;
    if (fit.participants > 1)
        fit.participant_variance = fit.centred.participant_variance;
    std::vector<double> weights(settings.covariates(), 0.0);
    fit.mean = weighted_sum(fit, 1.0, weights);
    for (double& weight : weights) {
        weight = 1.0;
        fit.slopes.push_back(weighted_sum(fit, 0.0, weights));
        weight = 0.0;
    }
    return fit;
}

FixedEffect weighted_sum(const NestedFit& fit, double mean_weight, std::span<const double> slope_weights) {
    ISOSEAM_CHECK(slope_weights.size() + 1 == fit.centre.size());
    // The mean at covariates of 0 is the mean at their centre minus slopes * centre.
    Eigen::VectorXd weights(static_cast<Eigen::Index>(fit.centre.size()));
    weights[0] = mean_weight;
    for (std::size_t i = 0; i < slope_weights.size(); ++i)
        weights[static_cast<Eigen::Index>(i + 1)] = slope_weights[i] - mean_weight * fit.centre[i];
    WeightedEffect effect = weighted_effect(fit.centred, weights);
    effect.value += mean_weight * fit.centre.back();
    return fixed_effect(effect);
}

}  // namespace isoseam
