#include "analysis/fits/psychometric_fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/fits/curve_search.h"
#include "analysis/fits/psychometric_information.h"
#include "base/random.h"

namespace isoseam {
namespace {

// Half of 3.841..., which a chi-square variable of one degree of freedom exceeds with a probability of 5 %.
constexpr double kHalfChiSquare95 = 3.841458820694124 / 2.0;
// Log-likelihoods nearer than this cannot be told apart: then the data do not choose between a slope and its
// bound.
constexpr double kNoDifference = 1e-6;
constexpr double kSameLevel = 1e-9;  // relative: levels that a staircase reached by different sums
constexpr int kBisections = 40;

bool is_share(const std::optional<double>& value) {
    return !value || (*value >= 0.0 && *value < 1.0);
}

using Profile = std::function<double(double)>;

// The border between where the profile stays above `cut` and where it falls below.
double crossing(const Profile& profile, double inside, double outside, double cut) {
    for (int i = 0; i < kBisections; ++i) {
        const double middle = 0.5 * (inside + outside);
        (profile(middle) >= cut ? inside : outside) = middle;
    }
    return 0.5 * (inside + outside);
}

// The outermost crossing beyond `best` among `outwards`, the last of which is the border of the search.
std::optional<double> interval_end(const Profile& profile, double best, const std::vector<double>& outwards,
                                   double cut) {
    double inside = best;
    std::optional<double> outside;
    for (const double position : outwards) {
        if (profile(position) >= cut) {
            inside = position;
            outside.reset();
        } else if (!outside) {
            outside = position;
        }
    }
    if (!outside)
        return std::nullopt;
    return crossing(profile, inside, *outside, cut);
}

FitInterval profile_interval(const CurveSearch& search, CurveParameter parameter, const CurveMaximum& best) {
    const double at = search.coordinate(parameter, best.curve);
    const double cut = best.log_likelihood - kHalfChiSquare95;
    const Profile profile = [&](double coordinate) {
        return search.maximum_at(parameter, coordinate).log_likelihood;
    };
    std::vector<double> below;
    std::vector<double> above;
    for (const double position : search.positions(parameter))
        (position < at ? below : above).push_back(position);
    std::reverse(below.begin(), below.end());
    const auto value = [&](const std::optional<double>& end) {
        return end ? std::optional(search.value(parameter, *end)) : std::nullopt;
    };
    return {value(interval_end(profile, at, below, cut)), value(interval_end(profile, at, above, cut))};
}

struct Totals {
    int trials = 0;
    int successes = 0;
};
Totals totals_of(std::span<const LevelCount> counts) {
    Totals totals;
    for (const LevelCount& count : counts) {
        totals.trials += count.trials;
        totals.successes += count.successes;
    }
    return totals;
}

// The reasons why these counts have no threshold and slope.
std::vector<std::string> reasons(const CurveSearch& search, const std::vector<LevelCount>& counts,
                                 const CurveMaximum& best) {
    const auto [trials, successes] = totals_of(counts);
    if (counts.size() < 2)
        return {fmt::format(
            "only one level was shown ({} of {} trials a success): threshold and slope need several",
            successes, trials)};
    if (successes == trials)
        return {"every trial was a success: the threshold lies below the levels shown"};
    if (successes == 0)
        return {"no trial was a success: the threshold lies above the levels shown"};
    const auto no_worse = [&](double bound) {
        const double there = search.maximum_at(CurveParameter::slope, bound).log_likelihood;
        return there >= best.log_likelihood - kNoDifference;
    };
    if (no_worse(search.positions(CurveParameter::slope).front()))
        return {"the slope is at its lower bound: successes do not grow with the level"};
    std::vector<std::string> found;
    if (no_worse(search.positions(CurveParameter::slope).back()))
        found.emplace_back(
            "the slope is at its upper bound: successes change all at once from one level to the next, and "
            "the levels between were not shown");
    else if (!(best.curve.threshold >= counts.front().level && best.curve.threshold <= counts.back().level))
        found.emplace_back("the best threshold lies outside the levels shown");
    return found;
}

std::vector<std::string> notes_on(const FitModel& model, const CurveMaximum& best) {
    constexpr double kAtBound = 1e-4;
    std::vector<std::string> notes;
    if (!model.lapse && best.curve.lapse > kMostFreeLapse - kAtBound)
        notes.push_back(fmt::format("the free lapse rate is at its upper bound, {:g}", kMostFreeLapse));
    if (!model.guess && best.curve.guess > kMostFreeGuess - kAtBound)
        notes.push_back(fmt::format("the free guess rate is at its upper bound, {:g}", kMostFreeGuess));
    if (!model.lapse || !model.guess)
        notes.emplace_back(
            "standard errors take the free guess and lapse rates as known; the intervals do not");
    return notes;
}

}  // namespace

std::vector<Fault> faults(const FitModel& model, std::span<const LevelCount> counts) {
    std::vector<Fault> found;
    const auto add = [&](const char* key, std::string what, std::string remedy) {
        found.push_back({"", 0, 0, key, std::move(what), std::move(remedy)});
    };
    if (!is_share(model.guess))
        add("guess", fmt::format("{:g} is no guess rate", *model.guess), "give a number from 0 to below 1");
    if (!is_share(model.lapse))
        add("lapse", fmt::format("{:g} is no lapse rate", *model.lapse), "give a number from 0 to below 1");
    if (!(model.guess.value_or(kMostFreeGuess) + model.lapse.value_or(kMostFreeLapse) < 1.0))
        add("lapse", "guess and lapse rates leave nothing to the level",
            "let the most they can be sum to below 1");
    if (counts.empty())
        add("counts", "there is no trial", "give one level or more");
    double most = 0.0;
    for (const LevelCount& count : counts) {
        ISOSEAM_CHECK_GT(count.trials, 0);
        ISOSEAM_CHECK_BETWEEN(count.successes, 0, count.trials);
        most = std::max(most, count.level);
        if (!std::isfinite(count.level))
            add("counts", "a level is no finite number", "give numbers");
        else if (model.form == PsychometricForm::weibull && count.level < 0.0)
            add("form", fmt::format("a weibull has no level below 0, and {:g} was shown", count.level),
                "choose the form logistic or cumulative_normal");
    }
    if (!counts.empty() && model.form == PsychometricForm::weibull && !(most > 0.0))
        add("form", "a weibull needs a level above 0", "choose the form logistic or cumulative_normal");
    return found;
}

std::vector<LevelCount> tallied(std::span<const LevelCount> counts) {
    std::vector<LevelCount> sorted(counts.begin(), counts.end());
    std::sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) { return a.level < b.level; });
    double scale = 0.0;
    for (const LevelCount& count : sorted)
        scale = std::max(scale, std::abs(count.level));
    std::vector<LevelCount> merged;
    for (const LevelCount& count : sorted) {
        if (merged.empty() || count.level - merged.back().level > kSameLevel * scale) {
            merged.push_back(count);
        } else {
            merged.back().trials += count.trials;
            merged.back().successes += count.successes;
        }
    }
    return merged;
}

PsychometricFit fit_psychometric(const FitModel& model, std::span<const LevelCount> unordered) {
    if (auto found = faults(model, unordered); !found.empty())
        throw InputError(std::move(found));
    const std::vector<LevelCount> counts = tallied(unordered);
    const CurveSearch search(model, counts);
    const CurveMaximum best = search.maximum();
    PsychometricFit fit;
    fit.model = model;
    fit.log_likelihood = best.log_likelihood;
    if (!std::isfinite(best.log_likelihood)) {
        fit.deviance = std::numeric_limits<double>::infinity();
        fit.not_identified.emplace_back(
            "no curve of this form with these guess and lapse rates can give these answers: let the rates be "
            "free or above 0");
        return fit;
    }
    fit.deviance = deviance(best.curve, counts);
    fit.not_identified = reasons(search, counts, best);
    if (counts.size() > 1) {
        fit.threshold_95 = profile_interval(search, CurveParameter::threshold, best);
        fit.slope_95 = profile_interval(search, CurveParameter::slope, best);
    }
    if (!fit.not_identified.empty())
        return fit;
    fit.curve = best.curve;
    fit.notes = notes_on(model, best);
    if (const auto matrix = covariance(best.curve, counts, Information::observed))
        fit.standard_error = {std::sqrt(matrix->front()), std::sqrt(matrix->back())};
    return fit;
}

namespace {

// The value below which a share of the samples lies, between neighbours in proportion; none at a border of
// the search.
std::optional<double> percentile(const std::vector<double>& sorted, double share) {
    const double position = share * static_cast<double>(sorted.size() - 1);
    const auto below = static_cast<std::size_t>(position);
    const std::size_t above = std::min(below + 1, sorted.size() - 1);
    const double part = position - static_cast<double>(below);
    if (!std::isfinite(sorted[below]) || !std::isfinite(sorted[above]))
        return std::nullopt;
    return sorted[below] + part * (sorted[above] - sorted[below]);
}

FitInterval percentiles_95(std::vector<double> samples) {
    std::sort(samples.begin(), samples.end());
    return {percentile(samples, 0.025), percentile(samples, 0.975)};
}

// The value, or an infinity where it stands at the border of where it was looked for.
double or_infinite(const CurveSearch& search, CurveParameter parameter, const PsychometricFunction& curve) {
    constexpr double kAtBorder = 1e-3;
    const std::vector<double>& positions = search.positions(parameter);
    const double at = search.coordinate(parameter, curve);
    if (at < positions.front() + kAtBorder * search.step(parameter))
        return -std::numeric_limits<double>::infinity();
    if (at > positions.back() - kAtBorder * search.step(parameter))
        return std::numeric_limits<double>::infinity();
    return search.value(parameter, at);
}

}  // namespace

FitBootstrap bootstrap(const PsychometricFit& fit, std::span<const LevelCount> unordered, int samples,
                       std::uint64_t seed) {
    ISOSEAM_CHECK(fit.curve.has_value());
    ISOSEAM_CHECK_GT(samples, 0);
    const std::vector<LevelCount> counts = tallied(unordered);
    const RandomStream random{seed, kStreamBootstrap};
    // A sample of the fitted curve may by chance be as unlikely as the data but for rounding.
    constexpr double kSameDeviance = 1e-9;
    std::uint64_t draw = 0;
    std::vector<double> thresholds;
    std::vector<double> slopes;
    int as_large = 0;
    FitBootstrap result;
    for (int sample = 0; sample < samples; ++sample) {
        std::vector<LevelCount> drawn = counts;
        for (LevelCount& count : drawn) {
            const double success = success_probability(*fit.curve, count.level);
            count.successes = 0;
            for (int trial = 0; trial < count.trials; ++trial)
                count.successes += random.uniform(draw++) < success ? 1 : 0;
        }
        const CurveSearch search(fit.model, drawn);
        const CurveMaximum best = search.maximum();
        thresholds.push_back(or_infinite(search, CurveParameter::threshold, best.curve));
        slopes.push_back(or_infinite(search, CurveParameter::slope, best.curve));
        result.at_a_bound += std::isfinite(thresholds.back()) && std::isfinite(slopes.back()) ? 0 : 1;
        as_large += deviance(best.curve, drawn) >= fit.deviance - kSameDeviance ? 1 : 0;
    }
    result.samples = samples;
    result.threshold_95 = percentiles_95(std::move(thresholds));
    result.slope_95 = percentiles_95(std::move(slopes));
    result.goodness_p = (1.0 + as_large) / (1.0 + samples);
    return result;
}

}  // namespace isoseam
