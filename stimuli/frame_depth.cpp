#include "stimuli/frame_depth.h"

#include <fmt/format.h>

#include <array>

#include "base/errors.h"
#include "stimuli/drive_solution.h"

namespace isoseam {

LinearDrive shown_linear(const LinearDrive& wanted, const DisplayModel& display, FrameDepth depth) {
    if (depth.dither == DitherKind::none)
        return linear_from_code(code_from_linear(wanted, display, depth.bits), display);
    ISOSEAM_CHECK(wanted.fractions.size() == display.primary_count());
    const Eigen::ArrayXd fractions = wanted.fractions.array();
    ISOSEAM_CHECK((fractions >= 0.0 && fractions <= 1.0).all(),
                  fmt::format("fractions from {} to {}", fractions.minCoeff(), fractions.maxCoeff()));
    return wanted;
}

std::string to_string(DitherKind kind) {
    static constexpr std::array<const char*, 3> kWords{"none", "noise", "ordered"};
    return kWords.at(static_cast<std::size_t>(kind));
}

DitherKind parse_dither(const std::string& word) {
    for (const DitherKind kind : {DitherKind::none, DitherKind::noise, DitherKind::ordered}) {
        if (word == to_string(kind))
            return kind;
    }
    throw InputError("--dither", fmt::format("unknown dither '{}'", word), "write ordered, noise or none");
}

}  // namespace isoseam
