#pragma once
// This header holds what the readers of the formats share.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "calibration/readings.h"

namespace isoseam {

std::string_view without_byte_order_mark(std::string_view text);
// Removes blanks and ends of lines at both ends.
std::string_view trimmed(std::string_view text);
std::optional<double> finite_number(std::string_view text);

// Gives each line without its end. The last line counts too if it has no end.
void for_each_line(std::string_view text, const auto& use) {
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        use(text.substr(0, end));
        text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    }
}

inline constexpr const char* kUnitRemedy =
    "convert the values and write 'W/(sr m2 nm)', or 'counts' where their factor to it is unknown";
std::string unit_text(ReadingUnit unit);
std::optional<ReadingUnit> reading_unit(std::string_view text);

// Gives "" if `nm` may follow `before`, and otherwise says what is wrong with it.
inline constexpr const char* kWavelengthRemedy = "give wavelengths from 100 to 5000 nm, rising";
std::string wavelength_fault(const std::vector<double>& before_nm, double nm);

// The name of a step must be able to stand in the CSV table, whichever format it comes from.
inline constexpr const char* kStepRemedy = "write a step without comma, '#', or blanks around it";
bool is_step(const std::string& text);

// This says which parts of a reading occur in at least one row of a table.
struct ReadingExtras {
    bool places = false;
    bool seconds = false;
    bool steps = false;
};
ReadingExtras extras_of(const Readings& readings);

}  // namespace isoseam
