#include "colorimetry/light_comparison.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/population.h"

namespace isoseam {
namespace {

constexpr std::array<Cone, 3> kCones = {Cone::l, Cone::m, Cone::s};

std::size_t index_of(Cone cone) {
    return static_cast<std::size_t>(cone);
}

// S of equal energy for each cd/m2 by the eye's own V_F; 0 for an eye without one.
double s_of_white_per_luminance(const Observer& observer) {
    static const Spectrum white = Spectrum::equal_energy();
    const Lms lms = observer.excitations(white);
    const double luminance = luminance_cd_m2(lms, observer);
    return luminance > 0.0 ? lms.s / luminance : 0.0;
}

}  // namespace

void check(const DifferenceThreshold& threshold) {
    std::vector<Fault> faults;
    for (const auto& [key, value] : {std::pair{"threshold", threshold.l_m}, {"threshold-s", threshold.s}}) {
        if (!(value > 0.0 && std::isfinite(value))) {
            faults.push_back({"", 0, 0, key, fmt::format("a threshold of {} %", 100.0 * value),
                              "give more than 0 %, such as 1 %"});
        }
    }
    if (!(threshold.least_s_of_white >= 0.0 && std::isfinite(threshold.least_s_of_white))) {
        faults.push_back({"", 0, 0, "least S", fmt::format("{} of white's S", threshold.least_s_of_white),
                          "give a share of 0 or more"});
    }
    throw_if_any(faults);
}

EyeDifference difference(const Observer& observer, const Spectrum& first, const Spectrum& second,
                         const DifferenceThreshold& threshold) {
    return difference(observer, observer.excitations(first), observer.excitations(second), threshold);
}

EyeDifference difference(const Observer& observer, const Lms& first, const Lms& second,
                         const DifferenceThreshold& threshold) {
    EyeDifference result{.first = first, .second = second, .contrast = {}, .is_seen = {}};
    const double least_s = threshold.least_s_of_white * luminance_cd_m2(result.first, observer) *
                           s_of_white_per_luminance(observer);
    for (const Cone cone : kCones) {
        if (!observer.has(cone)) {
            continue;
        }
        const auto row = static_cast<Eigen::Index>(cone);
        const double from = result.first.vector()[row];
        const double change = result.second.vector()[row] - from;
        if (from > 0.0 && std::isfinite(change / from)) {
            result.contrast[index_of(cone)] = change / from;
        } else if (from == 0.0 && change == 0.0) {
            result.contrast[index_of(cone)] = 0.0;
        }
        const double counts_against = cone == Cone::s ? std::max(from, least_s) : from;
        const double limit = (cone == Cone::s ? threshold.s : threshold.l_m) * counts_against;
        // Written so that anything that cannot be compared is not taken for alike.
        result.is_seen[index_of(cone)] = !(std::abs(change) <= limit);
    }
    return result;
}

PopulationDifference difference_for_population(const ObserverParameters& mean, int eyes, std::uint64_t seed,
                                               const Spectrum& first, const Spectrum& second,
                                               const DifferenceThreshold& threshold) {
    ISOSEAM_CHECK_GE(eyes, 1);
    PopulationDifference result;
    result.eyes = eyes;
    std::array<std::vector<double>, 3> contrasts;
    for (int eye = 0; eye < eyes; ++eye) {
        const SampledEye sampled = sampled_eye(mean, seed, static_cast<std::uint64_t>(eye));
        result.redrawn += sampled.redrawn;
        const EyeDifference found = difference(Observer(sampled.eye), first, second, threshold);
        result.seen_by_any += found.is_alike() ? 0 : 1;
        for (std::size_t cone = 0; cone < 3; ++cone) {
            result.seen[cone] += found.is_seen[cone] ? 1 : 0;
            if (found.contrast[cone]) {
                contrasts[cone].push_back(*found.contrast[cone]);
            }
        }
    }
    for (std::size_t cone = 0; cone < 3; ++cone) {
        if (contrasts[cone].size() == static_cast<std::size_t>(eyes)) {
            result.contrast[cone] = value_spread(std::move(contrasts[cone]));
        }
    }
    return result;
}

}  // namespace isoseam
