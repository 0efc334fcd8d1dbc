#pragma once
// Do settings that follow each other in a session resemble each other more, or less, than others do? From the
// settings of each session a mean and a straight drift are taken; what is left, e, gives the lag-1 serial
// correlation, pooled over sessions:
//     r = sum of e_t e_{t+1} / sum of e_t^2
// If normal settings are independent with one variance, mean and variance of r follow exactly from its being
// a ratio of quadratic forms; its distribution is taken as a beta distribution over -1 .. 1 with this mean and
// variance, as for the ratio of Durbin & Watson 1951 (Biometrika 38, 159; from memory). A test shows that p is
// below 0.05 in 5 of 100 sets of independent settings, short sessions too.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace isoseam {

struct SerialCorrelation {
    std::size_t sessions = 0;  // those that count
    std::size_t settings = 0;  // in them
    double lag_one = 0.0;      // r
    // The mean of r if settings are independent. It is below 0, since what is left adds up to 0.
    double expected = 0.0;
    // The probability of an r that is at least as extreme, to either side, if settings are independent.
    double p = 1.0;
};

// Shorter sessions leave nothing that could be correlated, so they do not count.
inline constexpr std::size_t kFewestForSerialCorrelation = 4;

// The settings of each session stand in the order in which they were made. There is no result if no session
// counts, or if all settings lie on straight lines.
std::optional<SerialCorrelation> serial_correlation(std::span<const std::vector<double>> sessions);

}  // namespace isoseam
