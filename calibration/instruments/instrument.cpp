#include "calibration/instruments/instrument.h"

#include <fmt/format.h>

#include "base/errors.h"

namespace isoseam {

namespace {

constexpr const char* kRadianceWords = "W/(sr m2 nm)";
constexpr const char* kCountsWords = "counts";

}  // namespace

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
    if (words == kRadianceWords)
        return ReadingUnit::w_sr_m2_nm;
    if (words == kCountsWords)
        return ReadingUnit::counts;
    throw InputError(key, fmt::format("unknown unit '{}'", words),
                     fmt::format("write '{}' or '{}'", kRadianceWords, kCountsWords));
}

std::string reading_unit_words(ReadingUnit unit) {
    return unit == ReadingUnit::w_sr_m2_nm ? kRadianceWords : kCountsWords;
}

}  // namespace isoseam
