#include "calibration/fit/response_weights.h"

#include "colorimetry/colour_space.h"

namespace isoseam {

ResponseWeights::ResponseWeights(const std::vector<double>& wavelengths_nm, const Observer& observer)
    : xyz(3, static_cast<Eigen::Index>(wavelengths_nm.size())),
      lms(3, static_cast<Eigen::Index>(wavelengths_nm.size())) {
    std::vector<double> one_sample(wavelengths_nm.size(), 0.0);
    for (std::size_t i = 0; i < wavelengths_nm.size(); ++i) {
        one_sample[i] = 1.0;
        const Spectrum spectrum = Spectrum::from_signed_w_sr_m2_nm(wavelengths_nm, one_sample);
        xyz.col(static_cast<Eigen::Index>(i)) = tristimulus(spectrum).vector();
        lms.col(static_cast<Eigen::Index>(i)) = observer.excitations(spectrum).vector();
        one_sample[i] = 0.0;
    }
}

}  // namespace isoseam
