#pragma once
// This header says how narrowly counts of successes determine the threshold and the slope of a psychometric
// function.

#include <optional>
#include <span>
#include <vector>

#include "base/psychometric_function.h"

namespace isoseam {

enum class Information { observed, expected };
// Gives the inverse of the information on threshold and slope, with guess and lapse taken as known: {variance
// of threshold, covariance, variance of slope}. There is no result if the information is not positive.
std::optional<std::vector<double>> covariance(const PsychometricFunction& curve,
                                              std::span<const LevelCount> counts, Information information);

}  // namespace isoseam
