#include "colorimetry/rods.h"

#include <cmath>

#include "colorimetry/cie_tables.h"
#include "colorimetry/sensitivity.h"

namespace isoseam {
namespace {

// V' in the first of three columns, as `caught` takes three.
const Eigen::MatrixX3d& sensitivity_of_rods() {
    static const Eigen::MatrixX3d table = [] {
        const Eigen::VectorXd& efficiency = cie1951_scotopic_luminous_efficiency();
        Eigen::MatrixX3d made = Eigen::MatrixX3d::Zero(efficiency.size(), 3);
        made.col(0) = efficiency;
        return made;
    }();
    return table;
}

}  // namespace

double rod_excitation(const Spectrum& spectrum) {
    return caught(spectrum, sensitivity_of_rods(), kCie1951FirstNm)[0];
}

double scotopic_luminance_cd_m2(const Spectrum& spectrum) {
    return kScotopicLumensPerWatt * rod_excitation(spectrum);
}

std::optional<double> rod_contrast(const Spectrum& second, const Spectrum& first) {
    const double from = rod_excitation(first);
    const double to = rod_excitation(second);
    if (from == 0.0 && to == 0.0) {
        return 0.0;
    }
    const double contrast = (to - from) / from;
    return from > 0.0 && std::isfinite(contrast) ? std::optional(contrast) : std::nullopt;
}

bool rods_may_matter(Degrees field, double luminance_cd_m2) {
    return field > kRodFreeField && luminance_cd_m2 < kRodsCountBelowCdM2;
}

}  // namespace isoseam
