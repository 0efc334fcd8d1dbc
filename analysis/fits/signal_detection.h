#pragma once
// How well an observer tells signal from noise, and towards which answer the observer leans: sensitivity d'
// and criterion by signal detection theory with normal distributions of equal spread (Green & Swets 1966;
// Macmillan & Creelman 2005, "Detection Theory: A User's Guide", chapters 1, 2, 7 and 9).
//
//     const auto fit = fit_detection(DetectionModel::yes_no, {20, 25, 10, 25});
//     if (fit) use(fit->d_prime, fit->d_prime_95);                              // 1.095
//
// With z the normal quantile, H the rate of hits and F the rate of false alarms:
//     yes_no           d' = z(H) - z(F)               criterion c = -(z(H) + z(F)) / 2
//     two_alternative  d' = (z(H) - z(F)) / sqrt 2    criterion c, the same
//     same_different_differencing   the observer answers "different" where two observations differ by more
//                      than k: F = 2 phi(-k / sqrt 2), H = phi((d' - k) / sqrt 2) + phi((-d' - k) / sqrt 2);
//                      the criterion is k, in units of one observation's SD
//     same_different_independent    the observer classes each of the two observations by itself and answers
//                      "different" where the classes differ: d' = 2 z((1 + sqrt(2 p - 1)) / 2), where
//                      p = phi((z(H) - z(F)) / 2) is the share of right answers without bias; criterion c
// The two rules of same or different give different d' for the same answers, and counts at one level cannot
// tell them apart: say which one was used. Both have d' of 0 or more.

#include <optional>
#include <string>
#include <vector>

#include "analysis/fits/psychometric_fit.h"

namespace isoseam {

enum class DetectionModel {
    yes_no,
    // A choice between two places or intervals. A hit is the answer "first" where the target was first, and a
    // false alarm the answer "first" where it was second. So the criterion is the bias of place: below 0 the
    // observer favours the first place, above 0 the second.
    two_alternative,
    same_different_differencing,
    same_different_independent,
};

// The answers "yes" or "different" (of two_alternative: "first").
struct DetectionCounts {
    int hits = 0;
    int signal_trials = 0;
    int false_alarms = 0;
    int noise_trials = 0;
};

struct DetectionFit {
    double d_prime = 0.0;
    // Each interval holds every value that the profile likelihood does not exclude (chi-square, one degree of
    // freedom). An end without a value is open: the answers exclude nothing on that side.
    // With 50 trials of each kind they hold 93 to 97 % for d' of 0 to 3 (shown by the test over all counts
    // that can come). With fewer trials and rates near 0 or 1 they may hold a little less.
    FitInterval d_prime_95;
    double criterion = 0.0;  // 0: no leaning (of differencing: above 0, without a neutral value)
    FitInterval criterion_95;
    std::vector<std::string> notes;  // what a reader of the numbers has to know
};

// There is no fit unless there are trials of both kinds. ISOSEAM_CHECK: no count is below 0, and no answers
// are more than their trials.
std::optional<DetectionFit> fit_detection(DetectionModel model, const DetectionCounts& counts);

}  // namespace isoseam
