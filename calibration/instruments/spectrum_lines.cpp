#include "calibration/instruments/spectrum_lines.h"

#include <fmt/format.h>

#include "base/text_scan.h"

namespace isoseam {
namespace {

constexpr std::size_t kMostFaultsTold = 3;
constexpr std::size_t kMostWordsTold = 40;
// Bytes that a terminal could stumble over are shown as '?'.
std::string told(std::string_view words) {
    std::string result;
    for (const char c : words.substr(0, kMostWordsTold))
        result += c >= ' ' && c <= '~' ? c : '?';
    return words.size() > kMostWordsTold ? result + "..." : result;
}

// "" when the line was understood.
std::string take_line(std::string_view line, InstrumentSpectrum& spectrum) {
    const std::vector<TextCell> cells = words_between(line, " \t\r,;");
    if (cells.size() != 2)
        return fmt::format("{} values instead of two", cells.size());
    for (const TextCell& cell : cells) {
        if (!finite_number(cell.text))
            return fmt::format("'{}' is not a finite number", told(cell.text));
    }
    spectrum.wavelengths_nm.push_back(*finite_number(cells[0].text));
    spectrum.values.push_back(*finite_number(cells[1].text));
    return "";
}

ReadingFailure garbled(const std::vector<std::string>& faults, const std::string& who) {
    std::string found = fmt::format("{} printed what is no spectrum", who);
    for (std::size_t i = 0; i < std::min(faults.size(), kMostFaultsTold); ++i)
        found += (i == 0 ? ": " : "; ") + faults[i];
    if (faults.size() > kMostFaultsTold)
        found += fmt::format("; and {} more line(s)", faults.size() - kMostFaultsTold);
    return {Trouble::garbled, found, "print one 'wavelength value' a line, and comments after '#'"};
}

}  // namespace

ReadingFailure saturated(const std::string& who) {
    return {
        Trouble::saturated, fmt::format("{} says that there is too much light", who),
        "shorten its exposure or put a neutral filter before it, for the whole measurement, and begin anew"};
}

ReadingFailure too_dark(const std::string& who) {
    return {
        Trouble::too_dark, fmt::format("{} says that there is too little light", who),
        "let it expose longer, use a wider aperture or go nearer; where it cannot read darker lights, leave "
        "the step out"};
}

ReadingOutcome parse_spectrum_lines(std::string_view text, const std::string& who) {
    InstrumentSpectrum spectrum;
    std::vector<std::string> faults;
    for (int number = 1; !text.empty(); ++number) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const std::string_view line = trimmed(text.substr(0, end).substr(0, text.substr(0, end).find('#')));
        text.remove_prefix(std::min(end + 1, text.size()));
        if (line.empty())
            continue;
        if (line == "saturated")
            return saturated(who);
        if (line == "too dark")
            return too_dark(who);
        const std::string fault = take_line(line, spectrum);
        if (!fault.empty())
            faults.push_back(fmt::format("line {}: {} in '{}'", number, fault, told(line)));
    }
    if (!faults.empty())
        return garbled(faults, who);
    if (spectrum.values.size() < 2) {
        return ReadingFailure{
            Trouble::garbled,
            fmt::format("{} printed {} 'wavelength value' line(s)", who, spectrum.values.size()),
            "a spectrum has at least two; see that it prints to its standard output"};
    }
    return spectrum;
}

}  // namespace isoseam
