#pragma once
// How a simulated observer answers: which place holds the target, whether there is one, whether two lights
// are the same, how sure it is. The functions are pure. The model is our own, built on signal detection
// theory.
//
// The eye catches each place's light as a cone contrast against the reference, with normal noise of a given
// covariance. What decides is how far that noisy contrast is from none, in standard deviations of the noise
// (Mahalanobis distance): a length r = |m + z| with m the contrast in standard deviations and z three
// independent standard normal deviates. Its distribution, with d = |m| and Phi, phi of the standard normal:
//     P(r <= x) = Phi(x - d) - Phi(-x - d) - (phi(x - d) - phi(x + d)) / d
// (the noncentral chi distribution of three degrees of freedom, integrated by us; d = 0 is its limit).

#include <Eigen/Core>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>

#include "base/random.h"
#include "protocols/procedures/forced_choice.h"
#include "protocols/procedures/trial.h"

namespace isoseam {

// What makes one observer answer as it does.
struct JudgeTraits {
    // The noise is noise_root * z, in L, M, S contrast. The root must be invertible.
    Eigen::Matrix3d noise_root = Eigen::Matrix3d::Identity();
    double criterion = 2.5;  // Lengths above it are called a target, or a difference. > 0
    double lapses = 0.0;     // The share of answers given at random, 0 to 1.
};

// Cones that a noise model leaves without noise get this much, so that distances stay finite.
inline constexpr double kLeastNoiseContrast = 1e-6;

// One trial as an eye sees it: the contrast of each place against the reference.
using SeenPlaces = std::span<const Eigen::Vector3d>;

// The answer to a trial of this form. `categories` counts those of a rating. The draws are those of `stream`
// from `first` on, at most kDrawsPerAnswer of them. ISOSEAM_CHECK: there are 1 to kMostPlaces places, and the
// form does not ask for an adjustment.
//   place           the largest length
//   yes_no          whether the largest length exceeds the criterion
//   same_different  whether the difference of the first place from the reference does, both seen with noise,
//                   in its own standard deviations
//   rating          how many criteria the largest length exceeds, plus 1: they lie at 2 j / categories of the
//                   criterion, j = 1 .. categories - 1
inline constexpr std::uint64_t kDrawsPerAnswer = 64;
TrialResponse judge(const JudgeTraits& traits, AnswerForm form, SeenPlaces places, int categories,
                    const RandomStream& stream, std::uint64_t first);

// The probability that a length with centre `distance` is at most `x`.
double length_distribution(double x, double distance);

// How far a contrast is from none, in standard deviations of the noise.
double distance_of(const JudgeTraits& traits, const Eigen::Vector3d& contrast);

// How likely this observer is to find a target at this distance among `places` places, or to call it a
// target (yes_no) or different (same_different): the truth that a procedure estimates. ISOSEAM_CHECK: the
// form is one of these.
double success_probability(const JudgeTraits& traits, AnswerForm form, double distance, int places);
// Halves the way between both numbers again and again. Returns the least number that does not fall short, as
// `above` must not. Numbers up to some one fall short, and none beyond it does.
double least_reaching(double below, double above, const std::function<bool(double)>& falls_short);

// The distance at which that probability is `probability`. None where no distance up to kFarthest gives it.
inline constexpr double kFarthest = 1000.0;
std::optional<double> distance_for(const JudgeTraits& traits, AnswerForm form, double probability,
                                   int places);

}  // namespace isoseam
