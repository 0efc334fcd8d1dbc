#pragma once
// Says for whom two lights look alike, cone by cone, for one eye and for many.
//
//     const bool alike = difference(eye, first, second, DifferenceThreshold{}).is_alike();

#include <array>
#include <cstdint>
#include <optional>

#include "colorimetry/observer.h"
#include "colorimetry/spectrum.h"
#include "colorimetry/value_spread.h"

namespace isoseam {

// The difference from which on a cone is taken to tell two lights apart. It is a stated limit, not a claim
// about a person. The values are near what is published for fields seen side by side (L and M 0.1 to 1 %, S
// several times as much: common practice, no source).
struct DifferenceThreshold {
    double l_m = 0.01;  // of the first light's excitation, for L and for M
    double s = 0.05;    // for S
    // What S catches of saturated long-wave lights is so little that a ratio to it says nothing. So an S
    // difference counts against at least this share of what equal energy of the first light's luminance gives
    // S.
    double least_s_of_white = 0.1;
};
// Throws InputError where a value is not greater than 0 (the share: not 0 or more) and finite.
void check(const DifferenceThreshold& threshold);

struct EyeDifference {
    Lms first;
    Lms second;
    // The contrast of the second light against the first. A cone that the eye lacks has none, nor has a cone
    // to which the first light gives nothing and the second something; where neither light gives anything it
    // is 0.
    std::array<std::optional<double>, 3> contrast;
    std::array<bool, 3> is_seen{};  // by this cone: larger than the threshold
    bool is_alike() const { return !is_seen[0] && !is_seen[1] && !is_seen[2]; }
};
EyeDifference difference(const Observer& observer, const Spectrum& first, const Spectrum& second,
                         const DifferenceThreshold& threshold);
EyeDifference difference(const Observer& observer, const Lms& first, const Lms& second,
                         const DifferenceThreshold& threshold);

// The difference over eyes 0 .. eyes-1 of a seed, drawn about the mean eye of this field and age (see
// population.h).
struct PopulationDifference {
    int eyes = 0;
    int redrawn = 0;            // draws that no eye can have, made again
    std::array<int, 3> seen{};  // how many tell the lights apart by L, by M, by S
    int seen_by_any = 0;
    std::array<std::optional<ValueSpread>, 3> contrast;  // none if some eye has no such contrast
};
PopulationDifference difference_for_population(const ObserverParameters& mean, int eyes, std::uint64_t seed,
                                               const Spectrum& first, const Spectrum& second,
                                               const DifferenceThreshold& threshold);

}  // namespace isoseam
