#pragma once
// Invented screens with bell-shaped primaries.

#include <cmath>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

#include "calibration/display_model.h"

namespace isoseam::test {

// One primary for each peak wavelength, 40 nm wide, with a power tone response; black is a hundredth of a
// percent of the sum of all primaries.
inline Calibration invented_calibration(const std::vector<double>& peaks_nm, double exponent = 2.2) {
    std::vector<double> grid_nm(441);
    std::iota(grid_nm.begin(), grid_nm.end(), 390.0);
    std::vector<double> sum(grid_nm.size(), 0.0);
    Calibration calibration;
    calibration.name = "invented";
    calibration.measured_on = {2026, 11, 1};
    calibration.valid_until = {2027, 11, 1};
    calibration.width_px = 1280;
    calibration.height_px = 800;
    calibration.refresh_hz = 60.0;
    calibration.pixel_pitch_mm = 0.25;
    calibration.invented = true;
    calibration.file = "invented.yaml";
    for (const double peak_nm : peaks_nm) {
        std::vector<double> values;
        for (std::size_t i = 0; i < grid_nm.size(); ++i) {
            const double offset = (grid_nm[i] - peak_nm) / 17.0;
            values.push_back(0.004 * std::exp(-0.5 * offset * offset));
            sum[i] += 1e-4 * values.back();
        }
        calibration.primaries.push_back({"primary at " + std::to_string(static_cast<int>(peak_nm)),
                                         Spectrum::from_radiance_w_sr_m2_nm(grid_nm, values),
                                         ToneResponse::power(exponent)});
    }
    calibration.black = Spectrum::from_radiance_w_sr_m2_nm(grid_nm, sum);
    return calibration;
}

inline DisplayModel invented_display(const std::vector<double>& peaks_nm = {620.0, 535.0, 455.0},
                                     double exponent = 2.2) {
    return DisplayModel(invented_calibration(peaks_nm, exponent));
}

// Every pair and the triple take `share` of the light of their primaries away, on average.
inline Calibration interacting_calibration(double share) {
    Calibration calibration = invented_calibration({620.0, 535.0, 455.0});
    const auto of_primary = [&](int i) {
        return calibration.primaries[static_cast<std::size_t>(i)].spectrum;
    };
    for (const auto& [i, j] : {std::pair(0, 1), std::pair(0, 2), std::pair(1, 2)}) {
        const Spectrum both = of_primary(i) + of_primary(j).scaled(0.5);
        calibration.interactions.push_back({{i, j}, both.scaled(-share)});
    }
    const Spectrum triple = of_primary(0) + of_primary(1) + of_primary(2);
    calibration.interactions.push_back({{0, 1, 2}, triple.scaled(0.5 * share)});
    return calibration;
}

}  // namespace isoseam::test
