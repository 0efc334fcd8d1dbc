#include "analysis/summaries/kept_settings.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numeric>

#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

// A light that gives L and M nothing has a luminance of 0, and no chromaticity.
bool has_chromaticity(const Lms& lms) {
    return lms.l + lms.m > 0.0;
}

struct CaughtLights {
    Lms adjusted;
    Lms predicted;
};

std::optional<CaughtLights> caught(const SettingRecord& setting, const SettingEye& eye) {
    const Lms predicted = lms_of(setting.predicted_lms);
    if (!eye.recomputed)
        return CaughtLights{lms_of(setting.adjusted.lms), predicted};
    const Lms adjusted = eye.recomputed->lms(setting.adjusted);
    const Lms reference = eye.recomputed->lms(setting.reference);
    if (same_excitation(predicted, lms_of(setting.reference.lms)))
        return CaughtLights{adjusted, reference};
    const Lms asked = lms_of(setting.target_lms);
    if (!same_excitation(asked, predicted, asked.l / predicted.l))
        return std::nullopt;
    const double factor =
        luminance_cd_m2(reference, *eye.observer) / luminance_cd_m2(adjusted, *eye.observer);
    if (!(factor > 0.0))
        return std::nullopt;
    return CaughtLights{adjusted, Lms::from_vector(factor * adjusted.vector())};
}

bool all_positive(const Lms& lms) {
    return lms.l > 0.0 && lms.m > 0.0 && lms.s > 0.0;
}

}  // namespace

Lms lms_of(const std::array<double, 3>& recorded) {
    return {recorded[0], recorded[1], recorded[2]};
}

bool same_excitation(const Lms& a, const Lms& b, double factor) {
    // What was computed twice from the same drives by the same matrix differs by rounding only.
    constexpr double kSameExcitation = 1e-9;
    const Eigen::Vector3d difference = a.vector() - factor * b.vector();
    return (difference.array().abs() <= kSameExcitation * a.vector().array().abs()).all();
}

void AskedSpread::add(const Point& point) {
    if (count_ == 0.0) {
        mean_.setZero(point.size());
        products_.setZero(point.size(), point.size());
    }
    count_ += 1.0;
    const Point before = point - mean_;
    mean_ += before / count_;
    products_ += before * (point - mean_).transpose();
}

// Chan, Golub and LeVeque: "Updating formulae and a pairwise algorithm for computing sample variances"
// (1979).
void AskedSpread::add(const AskedSpread& others) {
    if (others.count_ == 0.0)
        return;
    if (count_ == 0.0) {
        *this = others;
        return;
    }
    const double count = count_ + others.count_;
    const Point apart = others.mean_ - mean_;
    products_ += others.products_ + apart * apart.transpose() * (count_ * others.count_ / count);
    mean_ += apart * (others.count_ / count);
    count_ = count;
}

std::vector<AskedSpread::Point> AskedSpread::not_reached() const {
    // This is a share of the largest variance. Rounding of doubles gives about 1e-26, and a step of
    // adjustment 1e-8 or more.
    constexpr double kNoSpread = 1e-12;
    std::vector<Point> directions;
    if (count_ == 0.0)
        return directions;
    const Eigen::MatrixXd symmetric = 0.5 * (products_ + products_.transpose());
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> axes(symmetric);
    const double largest = axes.eigenvalues().maxCoeff();
    for (Eigen::Index i = 0; i < mean_.size(); ++i) {
        if (axes.eigenvalues()[i] > kNoSpread * largest)
            continue;
        Point direction = axes.eigenvectors().col(i);
        Eigen::Index main = 0;
        direction.cwiseAbs().maxCoeff(&main);
        if (direction[main] < 0.0)
            direction = -direction;
        directions.push_back(direction);
    }
    return directions;
}

int AskedSpread::dimensions() const {
    return static_cast<int>(mean_.size()) - static_cast<int>(not_reached().size());
}

KeptCondition::KeptCondition(const SettingRecord& first)
    : condition(first.condition), space(first.space), axes(first.axes) {}

bool KeptCondition::same_kind(const SettingRecord& setting) const {
    return setting.condition == condition && setting.space == space && setting.axes == axes;
}

void KeptCondition::reserve(std::size_t count) {
    kept.reserve(count);
    settings_.reserve(count * axes.size());
    starts_.reserve(count * axes.size());
}

void KeptCondition::add(const SettingRecord& setting, const KeptSetting& of_setting) {
    kept.push_back(of_setting);
    settings_.insert(settings_.end(), setting.setting.begin(), setting.setting.end());
    starts_.insert(starts_.end(), setting.start.begin(), setting.start.end());
    const Lms asked = lms_of(setting.target_lms);
    const Lms predicted = lms_of(setting.predicted_lms);
    if (!all_positive(predicted))
        return;
    const Eigen::Vector3d ratio = asked.vector().cwiseQuotient(predicted.vector());
    asked_contrast.add(ratio - Eigen::Vector3d::Ones());
    // l and s move with L / M and S / (L + M), whatever the weights.
    if (has_chromaticity(asked))
        asked_ls.add(Eigen::Vector2d(ratio[0] - ratio[1], ratio[2]) / (ratio[0] + ratio[1]));
}

void KeptCondition::add(const KeptCondition& others) {
    kept.insert(kept.end(), others.kept.begin(), others.kept.end());
    settings_.insert(settings_.end(), others.settings_.begin(), others.settings_.end());
    starts_.insert(starts_.end(), others.starts_.begin(), others.starts_.end());
    asked_contrast.add(others.asked_contrast);
    asked_ls.add(others.asked_ls);
}

std::optional<KeptSetting> kept_setting(const SettingRecord& setting, const SettingEye& eye,
                                        const ShownLights* shown) {
    const std::optional<CaughtLights> lights = caught(setting, eye);
    if (!lights || (eye.recomputed && !all_positive(lights->predicted)))
        return std::nullopt;
    KeptSetting kept;
    kept.trial = setting.trial;
    kept.start_moved = setting.start_shrunk_to < 1.0;
    kept.refused_steps = std::accumulate(setting.refused_steps.begin(), setting.refused_steps.end(), 0);
    kept.duration_s = setting.duration_s;
    kept.contrast = eye.recomputed ? cone_contrast(lights->adjusted, lights->predicted).vector()
                                   : Eigen::Vector3d(setting.contrast_from_predicted.data());
    if (has_chromaticity(lights->adjusted) && has_chromaticity(lights->predicted)) {
        const MacLeodBoynton at = macleod_boynton_from_lms(lights->adjusted, *eye.observer);
        const MacLeodBoynton from = macleod_boynton_from_lms(lights->predicted, *eye.observer);
        kept.ls = Eigen::Vector2d(at.l, at.s);
        kept.ls_from_predicted = Eigen::Vector2d(at.l - from.l, at.s - from.s);
    }
    if (shown != nullptr) {
        const Xyz xyz = shown->xyz(setting.adjusted);
        if (isoseam::has_chromaticity(xyz)) {
            const Chromaticity chromaticity = xyy_from_xyz(xyz).chromaticity;
            kept.xy = Eigen::Vector2d(chromaticity.x, chromaticity.y);
        }
    }
    return kept;
}

void KeptSession::keep(const std::vector<SettingRecord>& records, const SettingEye& eye,
                       const ShownLights* shown) {
    std::vector<std::size_t> counts;
    std::vector<std::size_t> places;  // in `conditions`, by setting
    for (const SettingRecord& setting : records) {
        const auto same = std::find_if(conditions.begin(), conditions.end(),
                                       [&](const KeptCondition& c) { return c.same_kind(setting); });
        const auto place = static_cast<std::size_t>(same - conditions.begin());
        if (same == conditions.end()) {
            conditions.emplace_back(setting);
            counts.push_back(0);
        }
        ++counts[place];
        places.push_back(place);
    }
    for (std::size_t i = 0; i < conditions.size(); ++i)
        conditions[i].reserve(counts[i]);
    for (std::size_t i = 0; i < records.size(); ++i) {
        const SettingRecord& setting = records[i];
        const std::optional<KeptSetting> kept = kept_setting(setting, eye, shown);
        if (!kept) {
            ++untold[setting.condition];
            continue;
        }
        conditions[places[i]].add(setting, *kept);
    }
    std::erase_if(conditions, [](const KeptCondition& condition) { return condition.kept.empty(); });
}

}  // namespace isoseam
