#include "runner/rehearsal/simulated_judge.h"

#include <fmt/format.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "base/errors.h"

namespace isoseam {
namespace {

double normal_density(double x) {
    return std::exp(-0.5 * x * x) / std::sqrt(2.0 * std::numbers::pi);
}

double normal_distribution(double x) {
    return 0.5 * std::erfc(-x / std::numbers::sqrt2);
}

// Below this distance the limit at distance 0 is used. The error is of the order of the distance's square.
constexpr double kNoDistance = 1e-5;

double length_density(double x, double distance) {
    if (distance < kNoDistance)
        return 2.0 * x * x * normal_density(x);
    return x / distance * (normal_density(x - distance) - normal_density(x + distance));
}

Eigen::Vector3d deviates(const RandomStream& stream, std::uint64_t first) {
    return {stream.normal(first), stream.normal(first + 1), stream.normal(first + 2)};
}

// Returns each contrast with its noise added, in standard deviations of the noise.
std::vector<Eigen::Vector3d> caught(const JudgeTraits& traits, SeenPlaces places, const RandomStream& stream,
                                    std::uint64_t first) {
    const Eigen::Matrix3d deviations_from_contrast = traits.noise_root.inverse();
    std::vector<Eigen::Vector3d> all;
    for (const Eigen::Vector3d& contrast : places) {
        all.push_back(deviations_from_contrast * contrast + deviates(stream, first));
        first += 3;
    }
    return all;
}

int category_of(double length, double criterion, int categories) {
    int category = 1;
    for (int j = 1; j < categories; ++j)
        category += length > criterion * 2.0 * j / categories ? 1 : 0;
    return category;
}

// Returns the probability that the target's length is the largest of so many lengths. It is integrated by
// Simpson's rule over the lengths that matter, which are within ten standard deviations of the target's.
double largest_of(double distance, int places) {
    constexpr double kFar = 10.0;
    constexpr int kHalfIntervals = 200;
    const double from = std::max(0.0, distance - kFar);
    const double step = (distance + kFar - from) / (2 * kHalfIntervals);
    double sum = 0.0;
    for (int i = 0; i <= 2 * kHalfIntervals; ++i) {
        const double x = from + i * step;
        const double weight = i == 0 || i == 2 * kHalfIntervals ? 1.0 : i % 2 == 1 ? 4.0 : 2.0;
        sum += weight * length_density(x, distance) * std::pow(length_distribution(x, 0.0), places - 1);
    }
    return sum * step / 3.0;
}

}  // namespace

TrialResponse judge(const JudgeTraits& traits, AnswerForm form, SeenPlaces places, int categories,
                    const RandomStream& stream, std::uint64_t first) {
    ISOSEAM_CHECK_BETWEEN(places.size(), 1, kMostPlaces);
    ISOSEAM_CHECK(form != AnswerForm::rating || categories >= 2, fmt::format("{} categories", categories));
    using Kind = TrialResponse::Kind;
    // A guess has nothing to do with what was seen.
    const bool guesses = stream.uniform(first) < traits.lapses;
    const auto guess = [&](std::size_t count) { return static_cast<int>(stream.bits(first + 1) % count); };
    const std::uint64_t of_places = first + 2;
    const std::vector<Eigen::Vector3d> all = caught(traits, places, stream, of_places);
    const auto longest = std::max_element(all.begin(), all.end(),
                                          [](const auto& a, const auto& b) { return a.norm() < b.norm(); });
    const auto is_called = [&](double length) { return guesses ? guess(2) == 1 : length > traits.criterion; };
    switch (form) {
        case AnswerForm::place:
            return {.kind = Kind::place,
                    .value = guesses ? guess(all.size()) : static_cast<int>(longest - all.begin())};
        case AnswerForm::yes_no:
            return {.kind = is_called(longest->norm()) ? Kind::yes : Kind::no};
        case AnswerForm::same_different: {
            const Eigen::Vector3d reference = deviates(stream, of_places + 3 * all.size());
            const double apart = (all.front() - reference).norm() / std::numbers::sqrt2;
            return {.kind = is_called(apart) ? Kind::different : Kind::same};
        }
        case AnswerForm::rating:
            return {.kind = Kind::rating,
                    .value = guesses ? 1 + guess(static_cast<std::size_t>(categories))
                                     : category_of(longest->norm(), traits.criterion, categories)};
        case AnswerForm::adjustment:
            break;
    }
    ISOSEAM_CHECK(false, "an adjustment is no matter of judging");
    return {};
}

double length_distribution(double x, double distance) {
    if (!(x > 0.0))
        return 0.0;
    if (distance < kNoDistance)
        return std::erf(x / std::numbers::sqrt2) - 2.0 * x * normal_density(x);
    const double normal = normal_distribution(x - distance) - normal_distribution(-x - distance);
    return normal - (normal_density(x - distance) - normal_density(x + distance)) / distance;
}

double distance_of(const JudgeTraits& traits, const Eigen::Vector3d& contrast) {
    return (traits.noise_root.inverse() * contrast).norm();
}

double success_probability(const JudgeTraits& traits, AnswerForm form, double distance, int places) {
    double seen = 0.0;
    double guessed = 0.5;
    switch (form) {
        case AnswerForm::place:
            seen = largest_of(distance, places);
            guessed = 1.0 / places;
            break;
        case AnswerForm::yes_no:
            seen = 1.0 - length_distribution(traits.criterion, distance);
            break;
        case AnswerForm::same_different:
            seen = 1.0 - length_distribution(traits.criterion, distance / std::numbers::sqrt2);
            break;
        case AnswerForm::rating:
        case AnswerForm::adjustment:
            ISOSEAM_CHECK(false, "no success is defined for " + to_string(form));
    }
    return (1.0 - traits.lapses) * seen + traits.lapses * guessed;
}

double least_reaching(double below, double above, const std::function<bool(double)>& falls_short) {
    constexpr int kHalvings = 50;
    for (int i = 0; i < kHalvings; ++i) {
        const double middle = 0.5 * (below + above);
        (falls_short(middle) ? below : above) = middle;
    }
    return above;
}

std::optional<double> distance_for(const JudgeTraits& traits, AnswerForm form, double probability,
                                   int places) {
    const auto falls_short = [&](double distance) {
        return !(success_probability(traits, form, distance, places) >= probability);
    };
    if (!falls_short(0.0) || falls_short(kFarthest))
        return std::nullopt;
    return least_reaching(0.0, kFarthest, falls_short);
}

}  // namespace isoseam
