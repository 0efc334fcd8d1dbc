#include "colorimetry/colour_checks.h"

#include <fmt/format.h>

#include <utility>

#include "base/errors.h"

namespace isoseam {

void refuse_colour(std::string found, std::string remedy) {
    throw InputError(Fault{.file = {},
                           .line = 0,
                           .column = 0,
                           .key = {},
                           .found = std::move(found),
                           .remedy = std::move(remedy)});
}

void check_finite(const Eigen::Vector3d& values, const char* what) {
    if (!values.allFinite()) {
        refuse_colour(fmt::format("{} of {}, {}, {}", what, values[0], values[1], values[2]),
                      "give finite numbers");
    }
}

void check_contrast_background(const Lms& background) {
    if (!(background.l > 0.0 && background.m > 0.0 && background.s > 0.0 &&
          background.vector().allFinite())) {
        refuse_colour(fmt::format("contrast from a background with excitations L {}, M {}, S {}",
                                  background.l, background.m, background.s),
                      "choose a background that excites each of the three cones");
    }
}

}  // namespace isoseam
