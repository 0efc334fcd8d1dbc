#include "calibration/formats/text_scan.h"

#include <fmt/format.h>

#include "base/errors.h"
#include "base/quantity.h"

namespace isoseam {

std::string_view without_byte_order_mark(std::string_view text) {
    constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
    if (text.starts_with(kByteOrderMark))
        text.remove_prefix(kByteOrderMark.size());
    return text;
}

std::string_view trimmed(std::string_view text) {
    constexpr const char* kBlanks = " \t\r\n";
    const std::size_t begin = text.find_first_not_of(kBlanks);
    if (begin == std::string_view::npos)
        return text.substr(0, 0);
    return text.substr(begin, text.find_last_not_of(kBlanks) + 1 - begin);
}

std::optional<double> finite_number(std::string_view text) {
    try {
        return parse_number(text);
    } catch (const InputError&) {
        return std::nullopt;
    }
}

std::string unit_text(ReadingUnit unit) {
    return unit == ReadingUnit::w_sr_m2_nm ? "W/(sr m2 nm)" : "counts";
}

std::optional<ReadingUnit> reading_unit(std::string_view text) {
    for (const ReadingUnit unit : {ReadingUnit::w_sr_m2_nm, ReadingUnit::counts}) {
        if (text == unit_text(unit))
            return unit;
    }
    return std::nullopt;
}

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
    const PatchPlace whole;
    ReadingExtras extras;
    for (const Reading& row : readings.rows) {
        extras.places = extras.places || row.place.x != whole.x || row.place.y != whole.y ||
                        row.place.width != whole.width || row.place.height != whole.height;
        extras.seconds = extras.seconds || row.at_s != 0.0;
        extras.steps = extras.steps || !row.step.empty();
    }
    return extras;
}

}  // namespace isoseam
