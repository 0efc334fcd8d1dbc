#pragma once
// This header solves the colour matches that have names, for any eye. Lights and their uses are common
// practice, no source.
//
// The Rayleigh match sets a mixture of 545 and 670 nm against 589 nm. The Moreland match sets a mixture of
// 436 and 490 nm against 480 nm with a little 580 nm. The mixture is (1 - share) times the first light plus
// share times the second; the test is amount times the other light. The unit of each light is such that
// amount 1 has the luminance of the mixture for the eye by which the lights are measured.
//
// No match says what an eye has: screening and diagnosis of colour-vision deficiency belong to a qualified
// person with an approved instrument.

#include <cstdint>
#include <functional>
#include <optional>

#include "colorimetry/observer.h"
#include "colorimetry/value_spread.h"

namespace isoseam {

// This is the unit of monochromatic light: luminance 1 by V_F = weights[0] L + weights[1] M of an observer.
struct LuminanceUnit {
    Observer observer;
    Eigen::Vector2d weights;
    Spectrum monochromatic(double nm) const;
};
// Gives the unit by the standard observer of that field at 32 years.
LuminanceUnit standard_luminance_unit(Degrees field);

// This is a setting of both knobs: the mixture, and the amount of the test light.
struct MixtureMatch {
    // The share of the second light in the mixture. Outside 0 to 1 there is no match with real lights.
    double share = 0.0;
    double amount = 0.0;  // of the test light
    double condition_number = 0.0;
    bool is_physical() const { return share >= 0.0 && share <= 1.0 && amount >= 0.0; }
};

// An eye that cannot tell the lights by colour accepts each share, with amount = slope * share + intercept.
struct MatchLine {
    double slope = 0.0;
    double intercept = 0.0;
    double amount_at(double share) const { return slope * share + intercept; }
};

// The Rayleigh match equates L and M. S catches next to nothing of these lights and is left out (common
// practice, no source). An eye with L or M alone accepts a line, and so does one whose L and M are so alike
// that nothing fixes a match (condition number above kLargestMatchConditionNumber). An eye with neither has
// no Rayleigh match.
struct RayleighMatch {
    std::optional<MixtureMatch> match;
    std::optional<MatchLine> line;
};
RayleighMatch rayleigh_match(const Observer& observer, const LuminanceUnit& unit);

// The share of the test's luminance that is in 580 nm, for an eye of 32 years and a field of 2 degrees.
inline constexpr double kMorelandDesaturation = 0.074;

struct MorelandSettings {
    double desaturation = kMorelandDesaturation;  // share of 580 nm in the test, 0 to less than 1
    // The luminance that is equated; by default the observer's own V_F. Another one reproduces figures that
    // were computed with a fixed V_F for all observers; that is its only use so far.
    std::optional<Eigen::Vector2d> luminance_weights = std::nullopt;
};

// The Moreland match equates S and luminance. It is never solved for L and M: 436 and 490 nm excite them in
// nearly the same ratio.
struct MorelandMatch {
    std::optional<MixtureMatch> match;
    // An eye without S equates only luminance, and an eye with S alone equates only S. Such an eye accepts a
    // line of matches.
    std::optional<MatchLine> line;
    // The contrast of the mixture against the test in `match`. It shows by how much a trichromat still finds
    // the colours different.
    std::optional<double> contrast_l;
    std::optional<double> contrast_m;
    // Only for an eye with three cones: the match in which the share of 580 nm is free and no contrast is
    // left. Its condition number is that of the three lights and 580 nm together.
    std::optional<MixtureMatch> full;  // condition number of the three lights and 580 nm together
    std::optional<double> full_desaturation;
};
// Throws InputError for a share of 580 nm outside its range.
MorelandMatch moreland_match(const Observer& observer, const LuminanceUnit& unit,
                             const MorelandSettings& settings = {});

// This is what many eyes set: eyes 0 .. eyes-1 of a seed, drawn about `mean` (see population.h).
struct MatchPopulation {
    int eyes = 0;
    int redrawn = 0;
    // The number of eyes for which nothing fixes a match.
    int without_match = 0;
    // The number of eyes whose share lies outside 0 to 1. Such a share still counts in the spread.
    int not_physical = 0;
    std::optional<ValueSpread> share;
    std::optional<ValueSpread> amount;
};
MatchPopulation match_population(const ObserverParameters& mean, int eyes, std::uint64_t seed,
                                 const std::function<std::optional<MixtureMatch>(const Observer&)>& match);

}  // namespace isoseam
