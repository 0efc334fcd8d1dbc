#pragma once
// These are the readings of a table, sorted by what each can say about the screen. A table that does not say
// enough is refused.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "calibration/fit/dark.h"
#include "calibration/fit/drift.h"
#include "calibration/readings.h"

namespace isoseam {

// These are all readings of one colour at the usual patch. Black is not subtracted, and drift has been taken
// out.
struct ColourReadings {
    Eigen::VectorXd drive;
    Eigen::VectorXd light;  // the mean
    Eigen::MatrixXd each;   // a row for each reading
    int line = 0;           // the line of the first reading
    double count() const { return static_cast<double>(each.rows()); }
};

// This is white on a patch of another size or at another place.
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
    // The readings of each primary alone, with drives that rise to 1.
    std::vector<std::vector<ColourReadings>> ramps;
    std::vector<ColourReadings> mixtures;  // two or more primaries lit
    // White on patches of other sizes at the centre of the usual patch.
    std::vector<WhiteElsewhere> sizes;
    std::vector<WhiteElsewhere> places;  // white elsewhere
    Drift drift;
    // What is worth knowing and does not prevent fitting.
    std::vector<std::string> remarks;
    // The number of readings of steps whose names begin with "verification" or "warm_up", or of other patches
    // that do not show white.
    int left_out = 0;

    const ColourReadings* white() const;  // nullptr if it was not read
    int primary_count() const { return static_cast<int>(primaries.size()); }
};

// Throws one InputError with every reason why the table cannot be fitted, each with what to do: there is no
// black; a primary was never read alone, never at full drive, at fewer than three levels, never lights, or
// has levels that do not rise; the readings only follow the screen over time; spectra are saturated or
// negative; wavelengths that cones see are missing (with how much that matters).
SortedReadings sort_readings(const Readings& readings, const std::string& file);

// Says whether a reading is of a step named like "verification.3". Such readings are kept from every fit.
bool is_verification(const Reading& reading);

// Gives the patch that most readings have.
PatchPlace usual_patch(const Readings& readings);

// Gives the readings of each colour, with `drift` taken out.
std::vector<ColourReadings> grouped_by_drive(const std::vector<const Reading*>& rows, const Drift& drift);

}  // namespace isoseam
