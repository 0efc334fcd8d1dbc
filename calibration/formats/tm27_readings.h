#pragma once
// This header reads and writes a table of readings as IES TM-27 files, one for each reading, since such a
// file holds one spectrum. The document has no place for the drives of a screen. They stand in Comments, as
// in "r=1, g=0.5, b=0, seconds=3.5, step=ramp r" (x, y, width, height, seconds and step only if some reading
// has them).

#include <string>
#include <vector>

#include "calibration/formats/tm27_spectrum.h"
#include "calibration/readings.h"

namespace isoseam {

struct NamedText {
    std::string name;  // of the file
    std::string text;
};

// Gives files named "reading_0001.spdx" and so on. `header` is the header of each file, except for Comments.
// The files read back to the same values, bit by bit.
std::vector<NamedText> tm27_files(const Readings& readings, const Tm27Header& header);

// Reads the files in the order given. Throws one InputError with the faults of all files: those of
// parse_tm27_spectrum, comments of another form, a drive outside 0 to 1, and primaries, wavelengths or
// quantities that differ from those of the first file.
Readings readings_from_tm27(const std::vector<NamedText>& files);

}  // namespace isoseam
