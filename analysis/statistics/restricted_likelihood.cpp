#include "analysis/statistics/restricted_likelihood.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/statistics/box_maximum.h"
#include "analysis/statistics/second_order.h"
#include "base/errors.h"

namespace isoseam {
namespace {

constexpr std::size_t kSession = 0;
constexpr std::size_t kParticipant = 1;
// Ones, covariates, and y.
constexpr std::size_t kMostColumns = kMostCovariates + 2;
constexpr double kPi = 3.14159265358979323846;
// Below this share of its first size, what is left of a column is rounding.
constexpr double kDependent = 1e-11;

using Ratios = std::array<double, 2>;

// A symmetric matrix, of which the lower half is kept.
template <class Number>
class Symmetric {
  public:
    explicit Symmetric(std::size_t size) : size_(size), entries_(size * (size + 1) / 2) {
        ISOSEAM_CHECK_LE(size, kMostColumns);
    }
    std::size_t size() const { return size_; }
    Number& at(std::size_t row, std::size_t column) { return entries_[row * (row + 1) / 2 + column]; }
    const Number& symmetric(std::size_t i, std::size_t j) const {
        return i < j ? entries_[j * (j + 1) / 2 + i] : entries_[i * (i + 1) / 2 + j];
    }
    void clear() { std::fill(entries_.begin(), entries_.end(), Number(0.0)); }
    void operator+=(const Symmetric& other) {
        for (std::size_t i = 0; i < entries_.size(); ++i)
            entries_[i] += other.entries_[i];
    }
    // Takes away factor * column * column'.
    void take_column(std::size_t column, const Number& factor) {
        std::array<Number, kMostColumns> values;
        for (std::size_t i = 0; i < size_; ++i)
            values[i] = symmetric(i, column);
        for (std::size_t i = 0; i < size_; ++i) {
            const Number scaled = factor * values[i];
            for (std::size_t j = 0; j <= i; ++j)
                at(i, j) -= scaled * values[j];
        }
    }

  private:
    std::size_t size_;
    std::vector<Number> entries_;
};

// What the likelihood needs: the products of X and y by the inverse of the covariance (in units of the
// variance of e), and the logarithm of its determinant.
template <class Number>
struct Weighed {
    explicit Weighed(std::size_t size) : products(size) {}
    Symmetric<Number> products;
    Number log_determinant = 0.0;
};

template <class Number>
struct Profile {
    // -2 log likelihood but for a constant, with the variance of e at its best.
    Number deviance;
    // The logarithm of the weighed sum of squares that the effects leave; `degrees` times that variance.
    Number log_residual;
};

class Likelihood {
  public:
    Likelihood(const RestrictedModel& model, const std::vector<GroupSums>& groups)
        : model_(model), groups_(groups), first_(model.levels_fixed ? 0 : 1) {
        const auto columns = static_cast<std::size_t>(groups.front().mean.size());
        size_ = first_ + columns;
        double settings = 0.0;
        for (const GroupSums& group : groups)
            settings += group.settings;
        degrees_ = settings - static_cast<double>(size_ - 1);
        if (model.levels_fixed)
            degrees_ -= static_cast<double>(groups.size());
        std::size_t participants = 1;
        for (std::size_t i = 1; i < groups.size(); ++i)
            participants += groups[i].participant != groups[i - 1].participant ? 1 : 0;
        const Weighed<double> plain = weighed(Ratios{0.0, 0.0});
        scales_[kSession] = static_cast<double>(groups.size()) / settings;
        if (model.varies_by_participant)
            scales_[kParticipant] =
                static_cast<double>(participants) /
                plain.products.symmetric(*model.varies_by_participant, *model.varies_by_participant);
        active_ = {model.sessions_random, model.varies_by_participant.has_value()};
    }

    std::size_t effects() const { return size_ - 1; }
    double degrees() const { return degrees_; }
    bool active(std::size_t ratio) const { return active_[ratio]; }
    // A ratio at which a group with this random effect and one without it differ plainly.
    double scale(std::size_t ratio) const { return scales_[ratio]; }

    template <class Number>
    Weighed<Number> weighed(const std::array<Number, 2>& ratios) const {
        Weighed<Number> total(size_);
        Symmetric<Number> of_participant(size_);
        for (std::size_t i = 0; i < groups_.size(); ++i) {
            add_group(groups_[i], ratios[kSession], of_participant, total.log_determinant);
            if (i + 1 < groups_.size() && groups_[i + 1].participant == groups_[i].participant)
                continue;
            if (const std::optional<std::size_t> column = model_.varies_by_participant) {
                const Number stretch =
                    Number(1.0) + ratios[kParticipant] * of_participant.symmetric(*column, *column);
                of_participant.take_column(*column, ratios[kParticipant] / stretch);
                total.log_determinant += log_of(stretch);
            }
            total.products += of_participant;
            of_participant.clear();
        }
        return total;
    }

    template <class Number>
    Profile<Number> profile(const std::array<Number, 2>& ratios) const {
        Weighed<Number> sums = weighed(ratios);
        Number deviance = sums.log_determinant;
        for (std::size_t column = 0; column + 1 < size_; ++column) {
            const Number pivot = sums.products.symmetric(column, column);
            deviance += log_of(pivot);
            sums.products.take_column(column, Number(1.0) / pivot);
        }
        const Number log_residual = log_of(sums.products.symmetric(size_ - 1, size_ - 1));
        return {deviance + Number(degrees_) * log_residual, log_residual};
    }

    // Whether the columns of X are independent and leave something of y.
    bool determined() const {
        Symmetric<double> products = weighed(Ratios{0.0, 0.0}).products;
        for (std::size_t column = 0; column < size_; ++column) {
            double whole = 0.0;
            for (const GroupSums& group : groups_)
                whole += whole_of(group, column);
            if (!(products.symmetric(column, column) > kDependent * whole))
                return false;
            if (column + 1 < size_)
                products.take_column(column, 1.0 / products.symmetric(column, column));
        }
        return true;
    }

  private:
    static double log_of(double x) { return std::log(x); }
    static SecondOrder log_of(const SecondOrder& x) { return log(x); }

    double whole_of(const GroupSums& group, std::size_t column) const {
        if (column < first_)
            return group.settings;
        const auto i = static_cast<Eigen::Index>(column - first_);
        const double levels = model_.levels_fixed ? 0.0 : group.settings * group.mean[i] * group.mean[i];
        return group.products(i, i) + levels;
    }

    template <class Number>
    void add_group(const GroupSums& group, const Number& ratio, Symmetric<Number>& products,
                   Number& log_determinant) const {
        for (std::size_t i = first_; i < size_; ++i)
            for (std::size_t j = first_; j <= i; ++j)
                products.at(i, j) += Number(group.products(static_cast<Eigen::Index>(i - first_),
                                                           static_cast<Eigen::Index>(j - first_)));
        if (model_.levels_fixed)
            return;
        Number weight(group.settings);
        if (model_.sessions_random) {
            const Number stretch = Number(1.0) + ratio * Number(group.settings);
            weight = weight / stretch;
            log_determinant += log_of(stretch);
        }
        const auto mean = [&](std::size_t i) {
            return i == 0 ? 1.0 : group.mean[static_cast<Eigen::Index>(i - 1)];
        };
        for (std::size_t i = 0; i < size_; ++i)
            for (std::size_t j = 0; j <= i; ++j)
                products.at(i, j) += weight * Number(mean(i) * mean(j));
    }

    RestrictedModel model_;
    const std::vector<GroupSums>& groups_;
    std::size_t first_;  // the column of the first covariate
    std::size_t size_ = 0;
    double degrees_ = 0.0;
    std::array<double, 2> scales_{};
    std::array<bool, 2> active_{};
};

// The search goes over the shares ratio / (ratio + scale), which lie in a box.
Ratios searched(const Likelihood& likelihood) {
    constexpr double kMostShare = 1.0 - 1e-9;
    constexpr double kStep = 0.1;
    std::vector<std::size_t> searched;
    std::vector<BoxDimension> box;
    for (const std::size_t ratio : {kSession, kParticipant}) {
        if (!likelihood.active(ratio))
            continue;
        searched.push_back(ratio);
        box.push_back({0.0, kMostShare, {0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99}, kStep});
    }
    const auto ratios_at = [&](const std::vector<double>& shares) {
        Ratios ratios{};
        for (std::size_t i = 0; i < shares.size(); ++i)
            ratios.at(searched[i]) = likelihood.scale(searched[i]) * shares[i] / (1.0 - shares[i]);
        return ratios;
    };
    const auto height = [&](const std::vector<double>& shares) {
        const double deviance = likelihood.profile(ratios_at(shares)).deviance;
        return std::isfinite(deviance) ? -0.5 * deviance : -std::numeric_limits<double>::infinity();
    };
    return ratios_at(maximum_in_box(height, box).at);
}

// The likelihood with its derivatives, and which ratios are free there.
struct Place {
    Ratios ratios{};
    Profile<SecondOrder> profile;
    std::array<bool, 2> free{};
};

std::array<SecondOrder, 2> variables(const Ratios& ratios) {
    return {SecondOrder::variable(ratios[0], 0), SecondOrder::variable(ratios[1], 1)};
}

Place place_at(const Likelihood& likelihood, const Ratios& ratios) {
    Place place{ratios, likelihood.profile(variables(ratios)), {}};
    for (std::size_t i = 0; i < ratios.size(); ++i)
        place.free[i] = likelihood.active(i) && (ratios[i] > 0.0 || place.profile.deviance.slope[i] < 0.0);
    return place;
}

Eigen::Matrix2d curvature(const Place& place) {
    Eigen::Matrix2d curve;
    curve << place.profile.deviance.curve[0], place.profile.deviance.curve[1],
        place.profile.deviance.curve[1], place.profile.deviance.curve[2];
    for (Eigen::Index i = 0; i < 2; ++i) {
        if (place.free[static_cast<std::size_t>(i)])
            continue;
        curve.row(i).setZero();
        curve.col(i).setZero();
        curve(i, i) = 1.0;
    }
    return curve;
}

// Newton's method from the end of the search, which is near the highest point but has not all of its digits.
Place polished(const Likelihood& likelihood, const Ratios& start) {
    constexpr int kMostSteps = 50;
    constexpr double kStill = 1e-13;
    // A share so near to 0 is at 0 if the likelihood falls from there.
    constexpr double kNearZero = 1e-5;
    Ratios begin = start;
    for (std::size_t i = 0; i < begin.size(); ++i) {
        Ratios without = begin;
        without[i] = 0.0;
        if (begin[i] < kNearZero * likelihood.scale(i) && !place_at(likelihood, without).free[i])
            begin = without;
    }
    Place place = place_at(likelihood, begin);
    for (int step = 0; step < kMostSteps; ++step) {
        Eigen::Vector2d slope = Eigen::Vector2d::Zero();
        for (std::size_t i = 0; i < 2; ++i)
            if (place.free[i])
                slope[static_cast<Eigen::Index>(i)] = place.profile.deviance.slope[i];
        const Eigen::Matrix2d curve = curvature(place);
        if (!(curve(0, 0) > 0.0 && curve.determinant() > 0.0))
            break;
        const Eigen::Vector2d change = -curve.inverse() * slope;
        bool moved = false;
        Ratios next = place.ratios;
        for (std::size_t i = 0; i < 2; ++i) {
            next[i] = std::max(0.0, place.ratios[i] + change[static_cast<Eigen::Index>(i)]);
            moved = moved || std::abs(next[i] - place.ratios[i]) > kStill * (next[i] + likelihood.scale(i));
        }
        const Place there = place_at(likelihood, next);
        // Rounding alone may make the deviance rise by so much.
        const double rounding = 1e-10 * (1.0 + std::abs(place.profile.deviance.value));
        if (!(there.profile.deviance.value <= place.profile.deviance.value + rounding))
            break;
        place = there;
        if (!moved)
            break;
    }
    return place;
}

void add_effects(RestrictedFit& fit, const Likelihood& likelihood, const Ratios& ratios) {
    const auto k = static_cast<Eigen::Index>(likelihood.effects());
    const Weighed<SecondOrder> sums = likelihood.weighed(variables(ratios));
    Eigen::MatrixXd information(k, k);
    std::array<Eigen::MatrixXd, 2> slopes{Eigen::MatrixXd(k, k), Eigen::MatrixXd(k, k)};
    Eigen::VectorXd with_y(k);
    const auto entry = [&](Eigen::Index i, Eigen::Index j) -> const SecondOrder& {
        return sums.products.symmetric(static_cast<std::size_t>(i), static_cast<std::size_t>(j));
    };
    for (Eigen::Index i = 0; i < k; ++i) {
        with_y[i] = entry(i, k).value;
        for (Eigen::Index j = 0; j < k; ++j) {
            information(i, j) = entry(i, j).value;
            for (std::size_t ratio = 0; ratio < 2; ++ratio)
                slopes[ratio](i, j) = entry(i, j).slope[ratio];
        }
    }
    fit.inverse = information.inverse();
    fit.effects = fit.inverse * with_y;
    for (std::size_t ratio = 0; ratio < 2; ++ratio)
        fit.inverse_slopes[ratio] = -fit.inverse * slopes[ratio] * fit.inverse;
}

// The full deviance is degrees * log(variance) + residual(ratios) / variance + log determinants; at the best
// variance, residual = degrees * variance. So the profile's derivatives give those of the residual.
void add_parameter_covariance(RestrictedFit& fit, const Place& place, double degrees) {
    Eigen::Matrix3d curve = Eigen::Matrix3d::Identity();
    const double variance = fit.variance;
    const SecondOrder& log_r = place.profile.log_residual;
    const auto second = [&](std::size_t at, std::size_t i, std::size_t j) {
        // residual'' / variance - degrees * (log residual)'' = degrees * slope * slope
        return place.profile.deviance.curve[at] + degrees * log_r.slope[i] * log_r.slope[j];
    };
    curve.topLeftCorner<2, 2>() << second(0, 0, 0), second(1, 0, 1), second(1, 0, 1), second(2, 1, 1);
    for (Eigen::Index i = 0; i < 2; ++i)
        curve(i, 2) = curve(2, i) = -degrees * log_r.slope[static_cast<std::size_t>(i)] / variance;
    curve(2, 2) = degrees / (variance * variance);
    std::vector<Eigen::Index> free;
    for (Eigen::Index i = 0; i < 3; ++i)
        if (i == 2 || place.ratios[static_cast<std::size_t>(i)] > 0.0)
            free.push_back(i);
    const Eigen::MatrixXd of_free = curve(free, free);
    const Eigen::MatrixXd inverse = 2.0 * of_free.inverse();
    fit.parameter_covariance.setZero();
    for (std::size_t i = 0; i < free.size(); ++i)
        for (std::size_t j = 0; j < free.size(); ++j)
            fit.parameter_covariance(free[i], free[j]) =
                inverse(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j));
}

}  // namespace

std::optional<RestrictedFit> restricted_fit(const RestrictedModel& model,
                                            const std::vector<GroupSums>& groups) {
    ISOSEAM_CHECK(!(model.levels_fixed && model.sessions_random));
    if (groups.empty())
        return std::nullopt;
    const Likelihood likelihood(model, groups);
    if (!(likelihood.degrees() > 0.0) || !likelihood.determined())
        return std::nullopt;
    const Place place = polished(likelihood, searched(likelihood));
    RestrictedFit fit;
    add_effects(fit, likelihood, place.ratios);
    const double degrees = likelihood.degrees();
    fit.variance = std::exp(place.profile.log_residual.value) / degrees;
    fit.session_variance = place.ratios[kSession] * fit.variance;
    fit.participant_variance = place.ratios[kParticipant] * fit.variance;
    fit.criterion = place.profile.deviance.value + degrees * (1.0 + std::log(2.0 * kPi / degrees));
    add_parameter_covariance(fit, place, degrees);
    return fit;
}

WeightedEffect weighted_effect(const RestrictedFit& fit, const Eigen::VectorXd& weights) {
    ISOSEAM_CHECK(weights.size() == fit.effects.size());
    WeightedEffect result;
    result.value = weights.dot(fit.effects);
    const double share = weights.dot(fit.inverse * weights);
    const double variance = fit.variance * share;
    result.standard_error = std::sqrt(variance);
    Eigen::Vector3d slopes(0.0, 0.0, share);
    for (std::size_t ratio = 0; ratio < 2; ++ratio)
        slopes[static_cast<Eigen::Index>(ratio)] =
            fit.variance * weights.dot(fit.inverse_slopes[ratio] * weights);
    result.degrees = 2.0 * variance * variance / slopes.dot(fit.parameter_covariance * slopes);
    return result;
}

}  // namespace isoseam
