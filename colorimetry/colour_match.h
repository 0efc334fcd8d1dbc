#pragma once
// Which amounts of three lights look like a fourth.
//
//     const ColourMatch match = colour_match({long_wave, middle, short_wave}, wanted, observer);

#include <Eigen/Core>
#include <array>
#include <vector>

#include "colorimetry/observer.h"

namespace isoseam {

// Beyond this condition number the amounts are not worth having: the published sensitivities have about six
// digits, and an error in the sixth would change the amounts by one per cent.
inline constexpr double kLargestMatchConditionNumber = 1e4;

// The largest singular value divided by the smallest. Each column is scaled to length 1 first, so that the
// units of the lights do not count. The number is infinite for a column of zeros and for dependent columns or
// rows. There must be at least one column.
double condition_number(const Eigen::MatrixXd& columns);

struct ColourMatch {
    double condition_number = 0.0;
    // These are amounts of the three lights that look like the fourth. Each mixture has no more lights than
    // the eye has kinds of cone. A light with a negative amount belongs on the fourth light's side. A
    // trichromat has one such mixture.
    std::vector<Eigen::Vector3d> mixtures;
    // These changes, times any number, can be added to the amounts without a difference that the eye could
    // see. There is no column for a trichromat, one (a line of matches) for a dichromat, and two (a plane)
    // for a monochromat. The largest entry of a column is 1 in size.
    Eigen::Matrix<double, 3, Eigen::Dynamic> free_changes;
};

// amounts[0] lights[0] + amounts[1] lights[1] + amounts[2] lights[2] = wanted, for each cone that the
// observer has. Throws InputError for a light or a wanted light that gives this eye nothing, and where the
// condition number is above kLargestMatchConditionNumber: then two of the lights, or a mixture of two and the
// third, look too much alike.
ColourMatch colour_match(const std::array<Lms, 3>& lights, const Lms& wanted, const Observer& observer);

// True when no amount is negative: three lamps in one half can then match the fourth light in the other.
bool is_physical(const Eigen::Vector3d& amounts);

}  // namespace isoseam
