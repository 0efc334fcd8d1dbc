#pragma once
// The tone response of one primary from its light at several drives.

#include <optional>
#include <string>
#include <vector>

#include "calibration/tone_response.h"

namespace isoseam {

// Light at rising drives above 0, black subtracted, in any unit; the last drive is 1. At least two. Noise may
// make a value negative or smaller than the one before it.
struct ToneLevels {
    std::vector<double> drive;
    std::vector<double> light;
    std::vector<double> weight;  // the number of readings behind each
};

// CIE lightness of a light, relative to full light, on its straight line below 0.008856 and for negative
// ones. Tone curves are fitted and compared in it, since a misfit is seen so.
double lightness(double relative_light);

struct ToneFit {
    ToneResponse response;
    double scale;  // the light at full drive: light = scale * response
};

// The least-squares curve of one form, in lightness. For points: through every level that rises above those
// before it. nullopt where the levels do not determine the form: fewer than its parameters and the scale, or,
// for points, fewer than two that rise.
std::optional<ToneFit> fit_tone(ToneForm form, const ToneLevels& levels);

// How well a form foretells a level that it has not seen.
struct ToneCandidate {
    ToneForm form;
    std::optional<double> score;  // RMS over the levels but the last, each left out in turn, in lightness
    std::string why_untested;     // where there is no score
};

struct ToneChoice {
    ToneFit fit;
    std::vector<ToneCandidate> candidates;  // the chosen one first, the others in order of score
};

// A score within this share of the best one is as good, since scores have noise too; but only below this
// lightness, where the form holds at all.
inline constexpr double kAsGood = 0.1;
inline constexpr double kHoldsAtAll = 0.5;

// Leaves one level out at a time, for each of gain_offset_gamma, offset_power, s_shaped and points, and
// takes the form with the smallest score. Where none could be tested it takes points. Throws InputError
// where not even points can be fitted.
ToneChoice choose_tone(const ToneLevels& levels);

}  // namespace isoseam
