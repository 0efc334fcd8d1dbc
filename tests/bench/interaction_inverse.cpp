// How long the inverse of a screen with interactions takes for one light, strong and weak ones, and how exact
// it is. Run by hand: build/release/tests/bench_interaction_inverse

#include <chrono>
#include <cstdio>

#include "base/random.h"
#include "calibration/interaction_model.h"
#include "support/invented_display.h"

using namespace isoseam;

int main() {
    constexpr int kLights = 100000;
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    const RandomStream random{1, 910};
    for (const double share : {0.03, 0.1, 0.25, 0.4, 0.5}) {
        Calibration calibration = test::invented_calibration({620.0, 535.0, 455.0});
        for (const auto& [i, j] : {std::pair(0, 1), std::pair(0, 2), std::pair(1, 2)}) {
            const Spectrum both = calibration.primaries[static_cast<std::size_t>(i)].spectrum +
                                  calibration.primaries[static_cast<std::size_t>(j)].spectrum;
            calibration.interactions.push_back({{i, j}, both.scaled(-share)});
        }
        const DisplayModel display(calibration);
        const InteractionInverse inverse = InteractionInverse::of_lms(display, observer);
        std::printf("share %.2f: contraction %.3f", share, inverse.contraction());
        if (!inverse.converges()) {
            std::printf(", no proof\n");
            continue;
        }
        std::vector<LinearDrive> linear;
        std::vector<Lms> targets;
        for (std::uint64_t i = 0; i < kLights; ++i) {
            linear.push_back({Eigen::Vector3d(random.uniform(3 * i), random.uniform(3 * i + 1),
                                              random.uniform(3 * i + 2))});
            // Not display.lms(), which would integrate the spectra again for each.
            targets.push_back(inverse.lms_from_linear(linear.back()));
        }
        double worst = 0.0;
        const auto start = std::chrono::steady_clock::now();
        for (std::size_t i = 0; i < targets.size(); ++i) {
            const auto found = inverse.linear_from_response(targets[i].vector());
            worst =
                std::max(worst, found ? (found->fractions - linear[i].fractions).cwiseAbs().maxCoeff() : 1.0);
        }
        const std::chrono::duration<double, std::micro> took = std::chrono::steady_clock::now() - start;
        std::printf(", %.2f us a light, off by %.1e at most\n", took.count() / kLights, worst);
    }
}
