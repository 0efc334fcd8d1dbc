#include "colorimetry/colour_checks.h"

#include <fmt/format.h>

#include "base/errors.h"

namespace isoseam {

void check_finite(const Eigen::Vector3d& values, const char* what) {
    if (!values.allFinite()) {
        throw InputError(fmt::format("{} of {}, {}, {}", what, values[0], values[1], values[2]),
                         "give finite numbers");
    }
}

void check_contrast_background(const Lms& background) {
    if (!(background.l > 0.0 && background.m > 0.0 && background.s > 0.0 &&
          background.vector().allFinite())) {
        throw InputError(fmt::format("contrast from a background with excitations L {}, M {}, S {}",
                                     background.l, background.m, background.s),
                         "choose a background that excites each of the three cones");
    }
}

}  // namespace isoseam
