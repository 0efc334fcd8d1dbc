#pragma once
// Readings made elsewhere, one row a reading: the rows are matched by their drive, in whatever order they are
// asked for.

#include <string>
#include <vector>

#include "calibration/instruments/instrument.h"

namespace isoseam {

// How far a row's drive may be from the asked one, per primary: well under one code of 10 bits, so that two
// codes are never taken for one; above the rounding of tables with four decimals.
inline constexpr double kSameDrive = 2e-4;

bool same_drive(const Drive& a, const Drive& b);

class FileInstrument : public Instrument {
  public:
    // `readings` of `file`, with at least one row (InputError).
    FileInstrument(Readings readings, std::string file);

    InstrumentRecord record() const override;
    // The row of this drive (and place, where the table tells places) that comes after those given before:
    // the n-th asking for a drive gets the n-th row of it. Trouble::missing when there is none.
    ReadingOutcome read(const ShownPatch& shown) override;

    // Says whether the rows tell where the patch was. Only then can uniformity and patch sizes be asked for.
    bool tells_places() const { return tells_places_; }
    const std::vector<std::string>& primaries() const { return readings_.primaries; }
    // How many rows there are of a drive at a place.
    int rows_of(const Drive& drive, const PatchPlace& place) const;

  private:
    bool answers(const Reading& row, const Drive& drive, const PatchPlace& place) const;

    Readings readings_;
    std::string file_;
    bool tells_places_ = false;
};

}  // namespace isoseam
