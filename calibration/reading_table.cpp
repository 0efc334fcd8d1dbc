#include "calibration/reading_table.h"

#include <fmt/format.h>

#include "base/text_scan.h"

namespace isoseam {

std::string wavelength_fault(const std::vector<double>& before_nm, double nm) {
    if (!(nm >= 100.0 && nm <= 5000.0))
        return fmt::format("wavelength {} nm", nm);
    if (!before_nm.empty() && !(nm > before_nm.back()))
        return fmt::format("{} nm follows {} nm", nm, before_nm.back());
    return "";
}

bool is_step(const std::string& text) {
    return text.find_first_of(",#\r\n") == std::string::npos && trimmed(text) == text;
}

ReadingExtras extras_of(const Readings& readings) {
    ReadingExtras extras;
    for (const Reading& row : readings.rows) {
        extras.places = extras.places || row.place != PatchPlace{};
        extras.seconds = extras.seconds || row.at_s != 0.0;
        extras.steps = extras.steps || !row.step.empty();
    }
    return extras;
}

}  // namespace isoseam
