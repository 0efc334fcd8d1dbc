#pragma once
// This header fits the tone response of one primary to its light at several drives.

#include <optional>
#include <string>
#include <vector>

#include "calibration/tone_response.h"

namespace isoseam {

// This is light at rising drives above 0, with black subtracted, in any unit. The last drive is 1, and there
// are at least two. Noise may make a value negative or smaller than the one before it.
struct ToneLevels {
    std::vector<double> drive;
    std::vector<double> light;
    std::vector<double> weight;  // the number of readings behind each
};

// Gives the CIE lightness of a light relative to full light. Below 0.008856 and for negative light it follows
// the standard's straight line. Tone curves are fitted and compared in lightness, since this is how a misfit
// is seen.
double lightness(double relative_light);

struct ToneFit {
    ToneResponse response;
    double scale;  // the light at full drive: light = scale * response
};

// Gives the least-squares curve of one form, in lightness. The form `points` goes through every level that
// rises above those before it. The result is nullopt if the levels do not determine the form: there are fewer
// levels than its parameters and the scale or, for `points`, fewer than two that rise.
std::optional<ToneFit> fit_tone(ToneForm form, const ToneLevels& levels);

// This says how well a form predicts a level that was not used to fit it.
struct ToneCandidate {
    ToneForm form;
    // The RMS over all levels but the last, each left out in turn, in lightness.
    std::optional<double> score;
    // The reason if there is no score.
    std::string why_untested;
};

struct ToneChoice {
    ToneFit fit;
    // The chosen one stands first, and the others follow in order of score.
    std::vector<ToneCandidate> candidates;
};

// A score within this share of the best one counts as equally good, since scores have noise too. This applies
// only below kHoldsAtAll, if the form holds at all.
inline constexpr double kAsGood = 0.1;
inline constexpr double kHoldsAtAll = 0.5;

// Leaves one level out at a time, for each of gain_offset_gamma, offset_power, s_shaped and points, and takes
// the form with the smallest score. If none could be tested, it takes points. Throws an InputError if not
// even points can be fitted.
ToneChoice choose_tone(const ToneLevels& levels);

}  // namespace isoseam
