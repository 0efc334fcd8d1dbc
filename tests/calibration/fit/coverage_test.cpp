// Whether a fit knows how well it knows: 200 seeded measurements of one invented screen.

#include <catch2/catch.hpp>

#include "calibration/fit/screen_fit.h"
#include "colorimetry/colour_space.h"
#include "support/simulated_panel.h"

using namespace isoseam;

namespace {

constexpr int kRuns = 200;
constexpr double kNormal95 = 1.959963984540054;  // of a normal distribution, two-sided

struct Coverage {
    int inside = 0;
    int all = 0;
    void add(double fitted, double sd, double truth) {
        inside += std::abs(fitted - truth) <= kNormal95 * sd ? 1 : 0;
        ++all;
    }
    double percent() const { return 100.0 * inside / all; }
};

struct Truth {
    Eigen::Matrix3d xyz;  // columns are primaries
    Eigen::Vector3d white;
};

Truth truth_of(const test::SimulatedPanel& panel) {
    const auto xyz = [&](const Eigen::VectorXd& light) {
        return tristimulus(
                   Spectrum::from_signed_w_sr_m2_nm(panel.wavelengths_nm, {light.begin(), light.end()}))
            .vector();
    };
    Truth truth;
    for (int i = 0; i < 3; ++i)
        truth.xyz.col(i) = xyz(panel.primaries.col(i));
    truth.white = xyz(panel.light(Eigen::Vector3d::Ones()));
    return truth;
}

struct Coverages {
    Coverage spectra, tristimulus, tone;
};

void add_run(const test::SimulatedPanel& panel, const Truth& truth, std::uint64_t seed,
             Coverages& coverages) {
    test::SimulatedReader reader(panel, seed);
    test::read_plan(reader, 13, 2);
    ScreenFitOptions options;
    options.replicates = 100;
    options.seed = seed;
    const ScreenFit fit = fit_screen(reader.readings(), "simulated", options);
    const Uncertainty& sd = fit.uncertainty;
    for (int i = 0; i < 3; ++i) {
        const Primary& primary = fit.calibration.primaries[static_cast<std::size_t>(i)];
        const Eigen::Vector3d xyz = tristimulus(primary.spectrum).vector();
        for (int k = 0; k < 3; ++k)
            coverages.tristimulus.add(xyz[k], sd.primaries_xyz(k, i), truth.xyz(k, i));
        for (std::size_t k = 0; k < panel.wavelengths_nm.size(); ++k)
            coverages.spectra.add(primary.spectrum.values()[k], primary.spectrum_uncertainty[k],
                                  panel.primaries(static_cast<Eigen::Index>(k), i));
        const ToneResponse& tone = panel.tones[static_cast<std::size_t>(i)];
        for (int k = 0; k < 3; ++k) {
            const double drive = 0.25 * (k + 1);
            coverages.tone.add(primary.tone.linear_from_drive(drive), sd.linear_at_quarters(k, i),
                               tone.linear_from_drive(drive));
        }
    }
    for (int k = 0; k < 3; ++k)
        coverages.tristimulus.add(fit.white.vector()[k], sd.white_xyz[k], truth.white[k]);
}

}  // namespace

TEST_CASE("the fit's own uncertainty covers the truth in 93 to 97 % of 200 seeded runs") {
    const test::SimulatedPanel quiet = test::simulated_panel(10.0);
    test::SimulatedPanel unsteady = quiet;
    unsteady.factor_noise = 0.002;
    const Truth truth = truth_of(quiet);
    Coverages coverages;
    for (int run = 1; run <= kRuns; ++run)
        add_run(run % 2 == 0 ? quiet : unsteady, truth, static_cast<std::uint64_t>(run), coverages);
    for (const Coverage& coverage : {coverages.spectra, coverages.tristimulus, coverages.tone}) {
        CHECK(coverage.percent() >= 93.0);
        CHECK(coverage.percent() <= 97.0);
    }
}
