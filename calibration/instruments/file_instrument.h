#pragma once
// This instrument gives readings that were made elsewhere, one row for each reading. The rows are matched by
// their drive, in whatever order they are asked for.

#include <string>
#include <vector>

#include "calibration/instruments/instrument.h"

namespace isoseam {

// A row's drive may differ from the requested one by this much for each primary. It is well under one code of
// 10 bits, so that two codes are never taken for one, and above the rounding of tables with four decimals.
inline constexpr double kSameDrive = 2e-4;

bool same_drive(const Drive& a, const Drive& b);

class FileInstrument : public Instrument {
  public:
    // `readings` are those of `file`. There must be at least one row (InputError).
    FileInstrument(Readings readings, std::string file);

    InstrumentRecord record() const override;
    // Gives the next row of this drive (and place, if the table gives places): the n-th request for a drive
    // gets its n-th row. The result is Trouble::missing if there is no such row.
    ReadingOutcome read(const ShownPatch& shown) override;

    // Says whether the rows tell where the patch was. Only then can uniformity and patch sizes be asked for.
    bool tells_places() const { return tells_places_; }
    const std::vector<std::string>& primaries() const { return readings_.primaries; }
    // Gives the number of rows of a drive at a place.
    int rows_of(const Drive& drive, const PatchPlace& place) const;

  private:
    bool answers(const Reading& row, const Drive& drive, const PatchPlace& place) const;

    Readings readings_;
    std::string file_;
    bool tells_places_ = false;
};

}  // namespace isoseam
