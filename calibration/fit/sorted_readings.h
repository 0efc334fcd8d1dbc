#pragma once
// A table of readings, sorted by what each can tell about the screen, and refused where it cannot tell
// enough.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "calibration/fit/dark.h"
#include "calibration/fit/drift.h"
#include "calibration/readings.h"

namespace isoseam {

// All readings of one colour at the usual patch. Black not subtracted; drift taken out.
struct ColourReadings {
    Eigen::VectorXd drive;
    Eigen::VectorXd light;  // the mean
    Eigen::MatrixXd each;   // a row for each reading
    int line = 0;           // of the first
    double count() const { return static_cast<double>(each.rows()); }
};

// White on a patch of another size or at another place.
struct WhiteElsewhere {
    PatchPlace place;
    Eigen::VectorXd light;
};

struct SortedReadings {
    std::vector<double> wavelengths_nm;
    std::vector<std::string> primaries;
    ReadingUnit unit = ReadingUnit::counts;
    std::string file;
    PatchPlace patch;  // that most readings have
    Dark dark;
    std::vector<std::vector<ColourReadings>> ramps;  // of each primary alone, drives rising to 1
    std::vector<ColourReadings> mixtures;            // two or more primaries lit
    std::vector<WhiteElsewhere> sizes;               // white at the centre of the usual patch, other sizes
    std::vector<WhiteElsewhere> places;              // white elsewhere
    Drift drift;
    std::vector<std::string> remarks;  // what is worth knowing and keeps from nothing
    // How many readings are of steps named verification... or warm_up..., or of other patches but not white.
    int left_out = 0;

    const ColourReadings* white() const;  // nullptr if it was not read
    int primary_count() const { return static_cast<int>(primaries.size()); }
};

// Throws one InputError with every reason why the table cannot be fitted, each with what to do: no black; a
// primary never read alone, never at full drive, at fewer than three levels, that never lights, or whose
// levels do not rise; readings that only follow the screen over time; saturated or negative spectra;
// wavelengths that miss what cones see (with how much that matters).
SortedReadings sort_readings(const Readings& readings, const std::string& file);

// Readings of a step named so ("verification.3") are kept from every fit.
bool is_verification(const Reading& reading);

// The patch that most readings have.
PatchPlace usual_patch(const Readings& readings);

// The readings of each colour, with `drift` taken out.
std::vector<ColourReadings> grouped_by_drive(const std::vector<const Reading*>& rows, const Drift& drift);

}  // namespace isoseam
