#pragma once
// An instrument reads the light of a screen. There are five kinds, each with the same set of files: command,
// serial, typed, file, simulated.

#include <string>
#include <variant>
#include <vector>

#include "calibration/readings.h"

namespace isoseam {

// This is what the screen shows while an instrument reads, and which reading of the measurement it is.
struct ShownPatch {
    Drive drive;  // of the patch
    // The drive of everything else on the screen; dark if it is empty.
    Drive surround;
    PatchPlace place;
    std::string step;  // of the plan
    // The number of readings of this measurement that were kept before.
    int reading = 0;
    // How many of these were of the same drive at the same place.
    int same_before = 0;
    double at_s = 0.0;  // since the measurement began
};

struct InstrumentSpectrum {
    std::vector<double> wavelengths_nm;  // as the instrument gave them: reading_check judges them
    std::vector<double> values;          // one for each, in the unit of the instrument's record
};

// This says why there is no spectrum.
enum class Trouble {
    time_out,     // no answer, or only a part of one, in the time allowed
    saturated,    // more light than the instrument can read
    too_dark,     // less light than it can read
    negative,     // less than no light, by more than noise
    garbled,      // an answer that cannot be understood
    unplugged,    // the line or the device has gone
    failed,       // the instrument says that it has failed
    missing,      // a table made elsewhere holds no such reading
    changed,      // not the instrument, unit or wavelengths of the readings before
    implausible,  // understood, but not the light of a screen
    disturbed,    // the screen did not show the patch all the time
    left,         // the person who reads off wants to stop
};
std::string trouble_word(Trouble trouble);  // "time out"

struct ReadingFailure {
    Trouble trouble = Trouble::failed;
    std::string found;   // what is wrong, with the words that were found
    std::string remedy;  // a way out
};

using ReadingOutcome = std::variant<InstrumentSpectrum, ReadingFailure>;

// This is what the record of a measurement says of its instrument.
struct InstrumentRecord {
    std::string kind;         // "command", "serial", "typed", "file", "simulated"
    std::string description;  // enough to find the same instrument with the same settings again
    ReadingUnit unit = ReadingUnit::w_sr_m2_nm;
    std::string not_for_data;  // why its readings cannot make a calibration for data; "" if they can
    // If this is false, the instrument answers without a screen.
    bool looks_at_screen = true;
    // An estimate of the time for one reading, until real times are known.
    double reading_s = 5.0;
};

class Instrument {
  public:
    virtual ~Instrument() = default;
    virtual InstrumentRecord record() const = 0;
    // Reads once and returns after a spectrum, a failure or the instrument's time-out. It never throws
    // because of what the instrument does. A later call may succeed (an instrument whose cable is plugged in
    // again is found).
    virtual ReadingOutcome read(const ShownPatch& shown) = 0;
};

// Reads "W/(sr m2 nm)" or "counts". Throws an InputError (key `key`) that lists both for anything else.
ReadingUnit parse_reading_unit(const std::string& words, const std::string& key);

}  // namespace isoseam
