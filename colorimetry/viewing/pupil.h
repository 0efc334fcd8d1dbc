#pragma once
// The diameter of a natural pupil, by the unified formula of Watson & Yellott 2012, "A unified formula for
// light-adapted pupil size", Journal of Vision 12(10):12:
//     D = S + (age - 28.58) (0.02132 - 0.009562 S)
//     S = 7.75 - 5.75 x / (x + 2)  with  x = (F / 846)^0.41  (Stanley & Davies 1995, mm)
//     F = luminance * area of the adapting field * (1 for two eyes, 0.1 for one)
// It is the mean of people: at one flux and one age single people differ from it by about a millimetre and
// more (from memory). So a diameter from here is an estimate, and a measured one is better.
//
//     const double pupil_mm = natural_pupil_mm({20.0, disc_area_deg2(Degrees::from_degrees(2.0))},
//                                              Years::from_years(32.0), Eyes::one);      // 7.2203

#include "base/quantity.h"

namespace isoseam {

// How many eyes look. The pupils of two eyes that both see the light are smaller.
enum class Eyes { one, two };

// What the pupil adapts to: a field on a dark surround.
struct AdaptingField {
    double luminance_cd_m2 = 0.0;  // 0 or more; photopic
    double area_deg2 = 0.0;        // above 0
};

double disc_area_deg2(Degrees diameter);

// The formula is stated for these ages. The measurements beneath it had fields of 0.4 to 25.4 degrees (from
// memory); for a field of another size the formula goes on smoothly, and so it does for any luminance.
inline constexpr Years kYoungestPupil = Years::from_years(20.0);
inline constexpr Years kOldestPupil = Years::from_years(83.0);

// The diameter in mm, between about 2 and 8. InputError (key "age") for an age out of the range above.
// ISOSEAM_CHECK: luminance and area are as AdaptingField says, and finite.
double natural_pupil_mm(const AdaptingField& field, Years age, Eyes eyes);

}  // namespace isoseam
