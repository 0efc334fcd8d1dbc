#include "calibration/fit/tone_fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/errors.h"
#include "calibration/fit/box_least_squares.h"

namespace isoseam {
namespace {

using std::size_t;

// What the search walks through: numbers of which every combination is a valid curve.
struct Search {
    Box box;
    std::vector<Eigen::VectorXd> starts;
};

Eigen::VectorXd vector_of(std::initializer_list<double> values) {
    Eigen::VectorXd vector(static_cast<Eigen::Index>(values.size()));
    std::copy(values.begin(), values.end(), vector.begin());
    return vector;
}

// The last number of each is the logarithm of the scale, relative to the light at the last level.
Search search_of(ToneForm form) {
    switch (form) {
        case ToneForm::power:
            return {{vector_of({0.1, -0.5}), vector_of({10.0, 0.5})}, {vector_of({2.2, 0.0})}};
        case ToneForm::gain_offset_gamma:
            return {{vector_of({0.0, 0.1, -0.5}), vector_of({0.9, 10.0, 0.5})},
                    {vector_of({0.02, 2.2, 0.0})}};
        case ToneForm::offset_power:
            return {{vector_of({0.0, 1.05, -0.5}), vector_of({0.95, 10.0, 0.5})},
                    {vector_of({0.05, 2.2, 0.0})}};
        case ToneForm::s_shaped:
            return {
                {vector_of({0.1, 0.02, std::log(0.01), -0.5}), vector_of({10.0, 1.0, std::log(100.0), 0.5})},
                {vector_of({2.2, 0.9, 0.0, 0.0}), vector_of({3.0, 0.5, 0.0, 0.0})}};
        case ToneForm::points:
            break;
    }
    ISOSEAM_CHECK(false, "points are not searched for");
}

// offset_power: the offset as a share of its largest value. s_shaped: the slope at full drive as a share of
// the rise, and the logarithm of the knee.
ToneResponse response_of(ToneForm form, const Eigen::VectorXd& p) {
    switch (form) {
        case ToneForm::offset_power:
            return ToneResponse::of_form(form, {p[0] * std::min(1.0, p[1] - 1.0), p[1]});
        case ToneForm::s_shaped: {
            const double knee = std::exp(p[2]);
            const double steepest = p[0] - 1.001 * ToneResponse::kLeastEndSlope;  // clear of rounding
            const double bend = std::clamp(p[0] * (1.0 - p[1]), 0.0, steepest) * (1.0 + knee);
            return ToneResponse::of_form(form, {p[0], std::min(20.0, bend), knee});
        }
        default:
            return ToneResponse::of_form(form, {p.begin(), p.end() - 1});
    }
}

std::optional<BoxMinimum> search_form(ToneForm form, const ToneLevels& levels, const Search& search) {
    const size_t count = levels.drive.size();
    const double full = levels.light.back();
    if (count < static_cast<size_t>(search.box.lowest.size()) || !(full > 0.0))
        return std::nullopt;
    const Residuals residuals = [&](const Eigen::VectorXd& p) {
        const ToneResponse response = response_of(form, p);
        const double scale = std::exp(p[p.size() - 1]);
        Eigen::VectorXd values(static_cast<Eigen::Index>(count));
        for (size_t i = 0; i < count; ++i) {
            values[static_cast<Eigen::Index>(i)] =
                std::sqrt(levels.weight[i]) *
                (lightness(scale * response.linear_from_drive(levels.drive[i])) -
                 lightness(levels.light[i] / full));
        }
        return values;
    };
    BoxMinimum best;
    best.sum_of_squares = std::numeric_limits<double>::infinity();
    for (const Eigen::VectorXd& start : search.starts) {
        BoxMinimum found = least_squares_in_box(residuals, start, search.box);
        if (found.sum_of_squares < best.sum_of_squares)
            best = std::move(found);
    }
    return best;
}

ToneFit fit_at(ToneForm form, const ToneLevels& levels, const Eigen::VectorXd& parameters) {
    const double scale = levels.light.back() * std::exp(parameters[parameters.size() - 1]);
    return {response_of(form, parameters), scale};
}

std::optional<ToneFit> fit_points(const ToneLevels& levels) {
    const double full = levels.light.back();
    std::vector<double> drive{0.0};
    std::vector<double> light{0.0};
    for (size_t i = 0; i < levels.drive.size(); ++i) {
        const bool last = i + 1 == levels.drive.size();
        const double value = last ? 1.0 : levels.light[i] / full;
        const bool rises =
            value > light.back() && levels.drive[i] - drive.back() >= ToneResponse::kLeastDriveStep;
        if (last || (rises && value < 1.0 && 1.0 - levels.drive[i] >= ToneResponse::kLeastDriveStep)) {
            drive.push_back(levels.drive[i]);
            light.push_back(value);
        }
    }
    if (!(full > 0.0) || drive.size() < 3)
        return std::nullopt;
    return ToneFit{ToneResponse::points(std::move(drive), std::move(light)), full};
}

ToneLevels without(const ToneLevels& levels, size_t left_out) {
    ToneLevels rest;
    for (size_t i = 0; i < levels.drive.size(); ++i) {
        if (i == left_out)
            continue;
        rest.drive.push_back(levels.drive[i]);
        rest.light.push_back(levels.light[i]);
        rest.weight.push_back(levels.weight[i]);
    }
    return rest;
}

// The fit without each level in turn; empty where one of them is not determined.
std::vector<ToneFit> fits_without_each(ToneForm form, const ToneLevels& levels) {
    std::vector<ToneFit> fits;
    std::optional<Search> search;
    if (form != ToneForm::points) {
        search = search_of(form);
        // The parameters that fit all levels are near to those that fit all but one.
        if (const std::optional<BoxMinimum> all = search_form(form, levels, *search))
            search->starts = {all->parameters};
    }
    for (size_t i = 0; i + 1 < levels.drive.size(); ++i) {
        const ToneLevels rest = without(levels, i);
        if (!search) {
            if (std::optional<ToneFit> fit = fit_points(rest))
                fits.push_back(std::move(*fit));
        } else if (const std::optional<BoxMinimum> found = search_form(form, rest, *search)) {
            fits.push_back(fit_at(form, rest, found->parameters));
        }
    }
    return fits.size() + 1 == levels.drive.size() ? fits : std::vector<ToneFit>{};
}

ToneCandidate tested(ToneForm form, const ToneLevels& levels) {
    const std::vector<ToneFit> fits = fits_without_each(form, levels);
    if (fits.empty()) {
        return {form, std::nullopt,
                fmt::format("{} levels are too few: with one left out they do not determine it",
                            levels.drive.size())};
    }
    const double full = levels.light.back();
    double sum = 0.0;
    double weight = 0.0;
    for (size_t i = 0; i < fits.size(); ++i) {
        const double foretold = fits[i].scale / full * fits[i].response.linear_from_drive(levels.drive[i]);
        const double error = lightness(foretold) - lightness(levels.light[i] / full);
        sum += levels.weight[i] * error * error;
        weight += levels.weight[i];
    }
    return {form, std::sqrt(sum / weight), ""};
}

}  // namespace

double lightness(double relative_light) {
    constexpr double kJoint = 216.0 / 24389.0;  // CIE 015:2018
    constexpr double kSlope = 24389.0 / 27.0;
    return relative_light > kJoint ? 116.0 * std::cbrt(relative_light) - 16.0 : kSlope * relative_light;
}

std::optional<ToneFit> fit_tone(ToneForm form, const ToneLevels& levels) {
    ISOSEAM_CHECK(levels.drive.size() >= 2 && levels.drive.back() == 1.0 &&
                  levels.light.size() == levels.drive.size() && levels.weight.size() == levels.drive.size());
    if (form == ToneForm::points)
        return fit_points(levels);
    const std::optional<BoxMinimum> found = search_form(form, levels, search_of(form));
    return found ? std::optional(fit_at(form, levels, found->parameters)) : std::nullopt;
}

ToneChoice choose_tone(const ToneLevels& levels) {
    std::vector<ToneCandidate> candidates;
    for (const ToneForm form :
         {ToneForm::gain_offset_gamma, ToneForm::offset_power, ToneForm::s_shaped, ToneForm::points}) {
        if (levels.drive.size() < 3)
            candidates.push_back({form, std::nullopt, "with two levels none can be left out"});
        else
            candidates.push_back(tested(form, levels));
    }
    const auto rank = [](const ToneCandidate& candidate) {
        const double last =
            candidate.form == ToneForm::points ? 1e300 : std::numeric_limits<double>::infinity();
        return candidate.score.value_or(last);
    };
    std::stable_sort(candidates.begin(), candidates.end(),
                     [&](const ToneCandidate& a, const ToneCandidate& b) { return rank(a) < rank(b); });
    // Forms are counted with the fewest numbers first.
    const double best = rank(candidates.front());
    const double as_good = std::max(best, std::min(best * (1.0 + kAsGood), kHoldsAtAll));
    const auto simplest =
        std::min_element(candidates.begin(), candidates.end(), [&](const auto& a, const auto& b) {
            return std::pair(!(rank(a) <= as_good), a.form) < std::pair(!(rank(b) <= as_good), b.form);
        });
    std::rotate(candidates.begin(), simplest, simplest + 1);
    std::optional<ToneFit> fit = fit_tone(candidates.front().form, levels);
    if (!fit) {
        throw InputError("light does not rise with drive", "read the ramp again, with at least three levels");
    }
    return {*fit, std::move(candidates)};
}

}  // namespace isoseam
