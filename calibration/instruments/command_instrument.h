#pragma once
// This instrument is any program that is run once for each reading and prints the spectrum.

#include <string>
#include <vector>

#include "calibration/instruments/instrument.h"

namespace isoseam {

struct CommandOptions {
    std::string command;  // split into words by split_command; no shell
    ReadingUnit unit = ReadingUnit::w_sr_m2_nm;
    double timeout_s = 120.0;
    std::string name;  // of the instrument behind it, for the record; may be empty
};

// The program prints "wavelength value" lines (spectrum_lines.h) and ends with status 0. In its environment
// it finds ISOSEAM_STEP, ISOSEAM_DRIVE (fractions, a blank between) and ISOSEAM_READING (counts from 0).
class CommandInstrument : public Instrument {
  public:
    explicit CommandInstrument(const CommandOptions& options);  // InputErrors of split_command
    InstrumentRecord record() const override;
    ReadingOutcome read(const ShownPatch& shown) override;

  private:
    CommandOptions options_;
    std::vector<std::string> words_;
};

}  // namespace isoseam
