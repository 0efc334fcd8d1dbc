#pragma once
// Settings lie in sessions, and sessions in participants:
//     y = mean + slopes * covariates + participant + session(participant) + e
// where participants, sessions and e are independent and normal. Their variances are estimated by restricted
// maximum likelihood and are 0 or more; the mean and the slopes follow by generalised least squares. Tests
// hold the figures to those of lme4 and lmerTest, two packages of R.
//
// The degrees of freedom are Satterthwaite's, as in Kuznetsova, Brockhoff & Christensen 2017 (Journal of
// Statistical Software 82, 13). Where a variance comes out as 0, the degrees are those of the model without
// it. Then they are too many: the data do not say that the variance is 0, only that it is not seen. So for
// few sessions intervals of the mean by these degrees are too narrow, by how much stands in
// analysis/README.md. unit_means.h has the interval that holds.
//
//     NestedSettings settings;
//     settings.add(0, 0, 0.021);    // participant, session, y
//     ...
//     if (const std::optional<NestedFit> fit = fit_nested(settings)) use(fit->mean);

#include <cstddef>
#include <map>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "analysis/statistics/interval.h"
#include "analysis/statistics/restricted_likelihood.h"

namespace isoseam {

// What was set, as sums for each session. Participants and sessions have any numbers; a session belongs to
// one participant, so that two participants may both have a session 0.
class NestedSettings {
  public:
    // A setting has so many covariates. There are at most kMostCovariates (checked).
    explicit NestedSettings(std::size_t covariates = 0);
    // All numbers must be finite (checked).
    void add(int participant, int session, double y, std::span<const double> covariates = {});

    std::size_t covariates() const { return covariates_; }
    // In order of participant, then session. GroupSums::participant counts from 0.
    std::vector<GroupSums> sessions() const;

  private:
    std::size_t covariates_;
    std::map<std::pair<int, int>, std::size_t> index_;  // into sums_
    std::vector<GroupSums> sums_;
    // Settings of one session often follow each other.
    std::pair<int, int> last_key_;
    std::size_t last_ = 0;
};

struct FixedEffect {
    double value = 0.0;
    double standard_error = 0.0;
    double degrees = 0.0;
    Interval interval_95;
    // The probability of a value at least so far from 0 if the true one is 0.
    double p = 1.0;
};
FixedEffect fixed_effect(const WeightedEffect& effect);

struct NestedFit {
    std::size_t participants = 0;
    std::size_t sessions = 0;
    std::size_t settings = 0;
    // There is none for one participant.
    std::optional<double> participant_variance;
    // There is none if no participant has several sessions, or if no session has several settings. What
    // sessions differ by is then part of what participants, or settings, differ by.
    std::optional<double> session_variance;
    double setting_variance = 0.0;
    double criterion = 0.0;  // -2 log restricted likelihood

    FixedEffect mean;                 // at covariates of 0
    std::vector<FixedEffect> slopes;  // for each covariate

    // What other weighted sums of mean and slopes need, from the centre of the covariates and of y.
    RestrictedFit centred;
    std::vector<double> centre;  // of the covariates, then of y
};

// There is no fit if no setting differs from the others of its session (or, where sessions are not told
// apart, of its participant), if a covariate does not vary or depends on others, or if no degree of freedom
// is left.
std::optional<NestedFit> fit_nested(const NestedSettings& settings);

// Gives mean_weight * mean + the weighted sum of slopes. One weight for each slope (checked).
FixedEffect weighted_sum(const NestedFit& fit, double mean_weight, std::span<const double> slope_weights);

}  // namespace isoseam
