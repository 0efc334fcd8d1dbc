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
    // Saturated long-wave lights excite S so little that a ratio to this excitation means nothing. So an S
    // difference is compared with at least this share of the S excitation by equal energy of the first
    // light's luminance.
    double least_s_of_white = 0.1;
};
// Throws InputError where a value is not greater than 0 (the share: not 0 or more) and finite.
void check(const DifferenceThreshold& threshold);

struct EyeDifference {
    Lms first;
    Lms second;
    // The contrast of the second light against the first. There is none for a cone that the eye lacks, or if
    // the first light does not excite the cone but the second does. It is 0 if neither light excites the
    // cone.
    std::array<std::optional<double>, 3> contrast;
    std::array<bool, 3> is_seen{};  // by this cone: larger than the threshold
    bool is_alike() const { return !is_seen[0] && !is_seen[1] && !is_seen[2]; }
};
EyeDifference difference(const Observer& observer, const Spectrum& first, const Spectrum& second,
                         const DifferenceThreshold& threshold);
EyeDifference difference(const Observer& observer, const Lms& first, const Lms& second,
                         const DifferenceThreshold& threshold);

// This is the difference over eyes 0 .. eyes-1 of a seed, drawn about the mean eye of this field and age (see
// population.h).
struct PopulationDifference {
    int eyes = 0;
    // The number of draws that no eye can have and that were made again.
    int redrawn = 0;
    std::array<int, 3> seen{};  // how many tell the lights apart by L, by M, by S
    int seen_by_any = 0;
    std::array<std::optional<ValueSpread>, 3> contrast;  // none if some eye has no such contrast
};
PopulationDifference difference_for_population(const ObserverParameters& mean, int eyes, std::uint64_t seed,
                                               const Spectrum& first, const Spectrum& second,
                                               const DifferenceThreshold& threshold);

}  // namespace isoseam
