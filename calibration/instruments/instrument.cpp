#include "calibration/instruments/instrument.h"

#include <fmt/format.h>

#include "base/errors.h"

namespace isoseam {

std::string trouble_word(Trouble trouble) {
    switch (trouble) {
        case Trouble::time_out:
            return "time out";
        case Trouble::saturated:
            return "saturated";
        case Trouble::too_dark:
            return "too dark";
        case Trouble::negative:
            return "negative";
        case Trouble::garbled:
            return "garbled";
        case Trouble::unplugged:
            return "unplugged";
        case Trouble::failed:
            return "failed";
        case Trouble::missing:
            return "missing";
        case Trouble::changed:
            return "changed";
        case Trouble::implausible:
            return "implausible";
        case Trouble::disturbed:
            return "disturbed";
        case Trouble::left:
            return "left";
    }
    ISOSEAM_CHECK(false, fmt::format("trouble {}", static_cast<int>(trouble)));
    return "";
}

ReadingUnit parse_reading_unit(const std::string& words, const std::string& key) {
    if (const std::optional<ReadingUnit> unit = reading_unit(words))
        return *unit;
    throw InputError(key, fmt::format("unknown unit '{}'", words),
                     fmt::format("write '{}' or '{}'", unit_text(ReadingUnit::w_sr_m2_nm),
                                 unit_text(ReadingUnit::counts)));
}

}  // namespace isoseam
