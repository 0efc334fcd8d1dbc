#pragma once
// This header gives the eyes of other people: drawn from the spread of colour-normal observers, or one of ten
// typical eyes.
//
//     const Observer somebody(sampled_eye(mean, seed, 17).eye);    // always the same eye

#include <cstdint>

#include "colorimetry/observer.h"

namespace isoseam {

// These are the standard deviations of individual eyes about the CIE 170-1 mean observer of the same age and
// field: in percent of density, and in nm of shift. The deviations are normal and independent.
struct EyeSpread {
    double lens_percent = 0.0;
    double macular_percent = 0.0;
    double density_l_percent = 0.0;
    double density_m_percent = 0.0;
    double density_s_percent = 0.0;
    double shift_l_nm = 0.0;
    double shift_m_nm = 0.0;
    double shift_s_nm = 0.0;
};
const EyeSpread& colour_normal_spread();  // Asano, Fairchild & Blonde 2016, PLoS ONE 11(2) e0145671

struct SampledEye {
    ObserverParameters eye;
    // The number of draws that no eye can have, such as a density below 0 or a shift beyond 30 nm.
    int redrawn = 0;
};

// Gives eye number `index` of a seed: the nominal eye plus normal deviates. It depends only on its arguments.
// A draw that the model cannot take is made again, parameter by parameter, and counted. The deviates are then
// those of a normal distribution that is cut off at the limits of what an eye can be (this concerns one eye
// in 300, nearly always its macular pigment).
SampledEye sampled_eye(const ObserverParameters& nominal, std::uint64_t seed, std::uint64_t index,
                       const EyeSpread& spread = colour_normal_spread());

// These are the ten categorical observers of Asano 2015, numbers 1 to 10, each with its own age, for any
// field. Throws an InputError for another number.
inline constexpr int kCategoricalObservers = 10;
ObserverParameters categorical_observer(int number, Degrees field);

}  // namespace isoseam
