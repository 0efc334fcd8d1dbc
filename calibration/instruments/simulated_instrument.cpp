#include "calibration/instruments/simulated_instrument.h"

#include <fmt/format.h>

#include <cmath>

#include "base/random.h"

namespace isoseam {
namespace {

// Counters kept apart for one reading; more than any instrument has samples.
constexpr std::uint64_t kDrawsPerReading = std::uint64_t{1} << 20U;

}  // namespace

SimulatedInstrument::SimulatedInstrument(SimulatedScreen screen, std::uint64_t seed)
    : screen_(std::move(screen)),
      seed_(seed),
      largest_white_((screen_.black + screen_.primaries.rowwise().sum()).maxCoeff()) {}

InstrumentRecord SimulatedInstrument::record() const {
    InstrumentRecord record;
    record.kind = "simulated";
    record.description = fmt::format("simulated screen '{}', seed {}", screen_.name, seed_);
    record.not_for_data = "simulated: no light was measured";
    record.looks_at_screen = false;
    return record;
}

ReadingOutcome SimulatedInstrument::read(const ShownPatch& shown) {
    const Eigen::VectorXd light =
        simulated_light(screen_, shown.drive, shown.surround, shown.place, shown.at_s);
    const RandomStream noise{seed_, kStreamSimulatedInstrument};
    const std::uint64_t first = kDrawsPerReading * static_cast<std::uint64_t>(shown.reading);
    const double gain = 1.0 + screen_.gain_noise * noise.normal(first);
    InstrumentSpectrum spectrum;
    spectrum.wavelengths_nm = screen_.wavelengths_nm;
    for (Eigen::Index i = 0; i < light.size(); ++i) {
        const double sd = std::hypot(screen_.sample_noise * light[i], screen_.floor_noise * largest_white_);
        spectrum.values.push_back(gain * light[i] +
                                  sd * noise.normal(first + 1 + static_cast<std::uint64_t>(i)));
    }
    return spectrum;
}

}  // namespace isoseam
