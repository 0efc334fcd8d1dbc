#include "calibration/instruments/serial_answer.h"

#include <fmt/format.h>

#include "base/text_scan.h"
#include "calibration/instruments/spectrum_lines.h"

namespace isoseam {
namespace {

constexpr std::string_view kLineEnds = "\r\n";

char separator_byte(Separator separator) {
    constexpr std::string_view kBytes = " ,; \t";  // by Separator
    return kBytes[static_cast<std::size_t>(separator)];
}

// Adds the words of the values. A separator at the end of a line is allowed; two in a row hold an empty word.
void add_words(std::string_view line, const SerialDialect& dialect, std::vector<std::string_view>& words) {
    const bool blanks = dialect.separated_by == Separator::line || dialect.separated_by == Separator::blank;
    const char between = separator_byte(dialect.separated_by);
    line = trimmed(line);
    if (!line.empty() && line.back() == between)
        line.remove_suffix(1);
    while (!line.empty()) {
        const std::size_t end = std::min(line.find(between), line.size());
        const std::string_view word = trimmed(line.substr(0, end));
        if (!word.empty() || !blanks)
            words.push_back(word);
        line.remove_prefix(std::min(end + 1, line.size()));
    }
}

ReadingFailure garbled(std::string found, std::string_view answer) {
    return {
        Trouble::garbled, fmt::format("{}; the answer was '{}'", found, visible_bytes(answer)),
        "read again; if it stays so, compare baud, parity and the dialect's 'reading' with the instrument's "
        "manual"};
}

InstrumentSpectrum spectrum_of_numbers(const SerialDialect& dialect, const std::vector<double>& numbers) {
    InstrumentSpectrum spectrum;
    if (dialect.pairs) {
        for (std::size_t i = 0; i + 1 < numbers.size(); i += 2) {
            spectrum.wavelengths_nm.push_back(numbers[i]);
            spectrum.values.push_back(dialect.scale * numbers[i + 1]);
        }
        return spectrum;
    }
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        spectrum.wavelengths_nm.push_back(dialect.first_nm + dialect.step_nm * static_cast<double>(i));
        spectrum.values.push_back(dialect.scale * numbers[i]);
    }
    return spectrum;
}

}  // namespace

std::string visible_bytes(std::string_view bytes, std::size_t most) {
    std::string text;
    for (const char c : bytes.substr(0, most)) {
        if (c == '\r')
            text += "\\r";
        else if (c == '\n')
            text += "\\n";
        else if (c == '\t')
            text += "\\t";
        else if (c >= ' ' && c <= '~')
            text += c;
        else
            text += fmt::format("\\x{:02x}", static_cast<unsigned char>(c));
    }
    return bytes.size() > most ? text + "..." : text;
}

std::optional<ReadingFailure> no_spectrum_reply(const SerialDialect& dialect, std::string_view answer) {
    const std::size_t last_end = answer.find_last_of("\r\n");
    if (last_end == std::string_view::npos)
        return std::nullopt;
    for (const auto& [line, column] : words_between(answer.substr(0, last_end), kLineEnds)) {
        const NoSpectrumReply* best = nullptr;  // the longest that fits
        for (const NoSpectrumReply& reply : dialect.replies) {
            if (line.starts_with(reply.begins) &&
                (best == nullptr || reply.begins.size() > best->begins.size()))
                best = &reply;
        }
        if (best == nullptr)
            continue;
        const std::string who = fmt::format("the instrument answered '{}', which", visible_bytes(line));
        ReadingFailure failure = best->means == Trouble::saturated  ? saturated(who)
                                 : best->means == Trouble::too_dark ? too_dark(who)
                                                                    : ReadingFailure{};
        if (best->means == Trouble::failed)
            failure = {Trouble::failed, who + " means that it failed", "look the answer up in its manual"};
        if (!best->remedy.empty())
            failure.remedy = best->remedy;
        return failure;
    }
    return std::nullopt;
}

ReadingOutcome parse_answer(const SerialDialect& dialect, std::string_view answer) {
    if (const std::optional<ReadingFailure> reply = no_spectrum_reply(dialect, answer))
        return *reply;
    std::string_view body = answer;
    if (body.ends_with(dialect.reading.until))
        body.remove_suffix(dialect.reading.until.size());
    const std::vector<TextCell> lines = words_between(body, kLineEnds);  // empty lines do not count
    std::vector<std::string_view> words;
    for (std::size_t i = static_cast<std::size_t>(dialect.skip_lines); i < lines.size(); ++i)
        add_words(lines[i].text, dialect, words);
    std::vector<double> numbers;
    for (const std::string_view word : words) {
        const std::optional<double> number = finite_number(word);
        if (!number) {
            return garbled(
                fmt::format("number {} of the answer is '{}'", numbers.size() + 1, visible_bytes(word)),
                answer);
        }
        numbers.push_back(*number);
    }
    if (dialect.pairs && numbers.size() % 2 != 0)
        return garbled(fmt::format("{} numbers cannot be pairs", numbers.size()), answer);
    const std::size_t samples = dialect.pairs ? numbers.size() / 2 : numbers.size();
    if (dialect.count && samples != static_cast<std::size_t>(*dialect.count))
        return garbled(fmt::format("{} values instead of {}", samples, *dialect.count), answer);
    if (samples < 2)
        return garbled(fmt::format("{} value(s) are no spectrum", samples), answer);
    return spectrum_of_numbers(dialect, numbers);
}

}  // namespace isoseam
