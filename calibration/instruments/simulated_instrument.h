#pragma once
// This instrument reads a simulated screen with noise, for rehearsals and for tests.

#include <cstdint>

#include "calibration/instruments/instrument.h"
#include "calibration/instruments/simulated_screen.h"

namespace isoseam {

// The noise of a reading depends only on the seed and on which reading it is (ShownPatch::reading): a
// measurement that was killed and resumed gives exactly the same readings as one that was not.
class SimulatedInstrument : public Instrument {
  public:
    SimulatedInstrument(SimulatedScreen screen, std::uint64_t seed);
    InstrumentRecord record() const override;
    ReadingOutcome read(const ShownPatch& shown) override;
    const SimulatedScreen& screen() const { return screen_; }

  private:
    SimulatedScreen screen_;
    std::uint64_t seed_;
    double largest_white_ = 0.0;  // sample
};

}  // namespace isoseam
