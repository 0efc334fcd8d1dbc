#include "calibration/instruments/instrument.h"

#include <fmt/format.h>

#include <array>

#include "base/errors.h"

namespace isoseam {

std::string trouble_word(Trouble trouble) {
    static constexpr std::array<const char*, 12> kWords{"time out", "saturated",   "too dark",  "negative",
                                                        "garbled",  "unplugged",   "failed",    "missing",
                                                        "changed",  "implausible", "disturbed", "left"};
    return kWords.at(static_cast<std::size_t>(trouble));
}

ReadingUnit parse_reading_unit(const std::string& words, const std::string& key) {
    if (const std::optional<ReadingUnit> unit = reading_unit(words))
        return *unit;
    throw InputError(key, fmt::format("unknown unit '{}'", words),
                     fmt::format("write '{}' or '{}'", unit_text(ReadingUnit::w_sr_m2_nm),
                                 unit_text(ReadingUnit::counts)));
}

}  // namespace isoseam
