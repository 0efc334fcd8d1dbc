#pragma once
// A table of readings holds what an instrument read of a screen, with one row for each reading.
//
//     const Readings readings = parse_readings(read_text_file(path), path);

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "calibration/display_model.h"
#include "calibration/screen_details.h"

namespace isoseam {

// This says where and how large the lit patch was, as fractions of the screen's width and height; (0.5, 0.5)
// is its centre. A patch of width and height 1 fills the screen.
struct PatchPlace {
    double x = 0.5;
    double y = 0.5;
    double width = 1.0;
    double height = 1.0;
    friend bool operator==(const PatchPlace&, const PatchPlace&) = default;
};

// True when the two differ by less than half a percent of the screen, since tables made elsewhere round.
bool same_place(const PatchPlace& a, const PatchPlace& b);

struct Reading {
    Drive drive;  // of the patch: fraction of the full code, 0 to 1, one per primary
    // One value for each wavelength of the table, as read. Noise and the instrument's own dark signal are
    // included, so values may be negative.
    std::vector<double> values;
    PatchPlace place;
    double at_s = 0.0;  // since the first reading; 0 in tables made elsewhere
    std::string step;   // which step of a plan it answers, "" in tables made elsewhere
    int line = 0;       // of the file it was read from; 0 if it never stood in one
};

// This is the unit of the values, as the instrument gives them. Counts are proportional to radiance, by a
// factor that nobody stated.
enum class ReadingUnit { w_sr_m2_nm, counts };

// "W/(sr m2 nm)" and "counts", as all files write them.
inline constexpr const char* kUnitRemedy =
    "convert the values and write 'W/(sr m2 nm)', or 'counts' where their factor to it is unknown";
std::string unit_text(ReadingUnit unit);
std::optional<ReadingUnit> reading_unit(std::string_view text);

struct Readings {
    std::vector<double> wavelengths_nm;  // rising
    ReadingUnit unit = ReadingUnit::w_sr_m2_nm;
    std::vector<std::string> primaries;  // "r", "g", "b", or "p1" ... "p16"
    ScreenDetails details;               // what the table says of its screen
    std::vector<Reading> rows;
};

// Reads a table with one reading in each row. Commas separate the cells, the point is the decimal sign, and
// '#' starts a comment. The header is
//   r,g,b,nm380,nm381,...          three primaries; p1,p2,...,pN for N of them
// The columns x, y, width, height (of the patch), seconds and step may stand before the spectrum. The
// wavelengths may have any step and any range, and they rise. A comment line "# unit: W/(sr m2 nm)" or "#
// unit: counts" names the unit; it is counts if no line names it. Other comment lines describe the screen,
// see set_detail() in screen_details.h. Throws one InputError with every faulty line and column: an unknown
// column (the nearest known one is named), a missing drive column, fewer or more cells than the header, a
// drive outside 0 to 1, a value that is no finite number.
Readings parse_readings(std::string_view text, const std::string& file);

// Writes the same table as text, which reads back to the same values, bit by bit.
std::string readings_text(const Readings& readings);

// Gives the spectrum of a row on the table's wavelengths. It is signed.
Spectrum spectrum_of(const Readings& readings, const Reading& reading);

}  // namespace isoseam
