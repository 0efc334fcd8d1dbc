#include "calibration/instruments/command_instrument.h"

#include <fmt/format.h>

#include <system_error>

#include "calibration/instruments/child_process.h"
#include "calibration/instruments/spectrum_lines.h"

namespace isoseam {
namespace {

// What the program said last, to quote.
std::string last_words(const ChildResult& result) {
    std::string_view text = result.err;
    while (!text.empty() && (text.back() == '\n' || text.back() == '\r' || text.back() == ' '))
        text.remove_suffix(1);
    text.remove_prefix(text.find_last_of('\n') + 1);
    return text.empty() ? "and said nothing on standard error" : fmt::format("and said: {}", text);
}

ReadingFailure failed(std::string found, std::string remedy) {
    return {Trouble::failed, std::move(found), std::move(remedy)};
}

}  // namespace

CommandInstrument::CommandInstrument(const CommandOptions& options)
    : options_(options), words_(split_command(options.command, "--command")) {}

InstrumentRecord CommandInstrument::record() const {
    InstrumentRecord record;
    record.kind = "command";
    record.description = fmt::format("{}{}command '{}'", options_.name, options_.name.empty() ? "" : ", ",
                                     fmt::join(words_, " "));
    record.unit = options_.unit;
    return record;
}

ReadingOutcome CommandInstrument::read(const ShownPatch& shown) {
    const ChildResult result = run_child(
        words_,
        {{"ISOSEAM_STEP", shown.step},
         {"ISOSEAM_DRIVE",
          fmt::format("{}", fmt::join(shown.drive.fractions.begin(), shown.drive.fractions.end(), " "))},
         {"ISOSEAM_READING", fmt::format("{}", shown.reading)}},
        options_.timeout_s);
    const std::string& program = words_.front();
    switch (result.end) {
        case ChildResult::End::not_started:
            return failed(fmt::format("'{}' cannot be run ({})", program,
                                      std::generic_category().message(result.status)),
                          "check the program's path and that it may be run");
        case ChildResult::End::timed_out:
            return ReadingFailure{
                Trouble::time_out,
                fmt::format("'{}' had not ended after {:g} s {}", program, options_.timeout_s,
                            last_words(result)),
                "see whether the instrument waits for something, or allow more with --timeout"};
        case ChildResult::End::printed_too_much:
            return ReadingFailure{Trouble::garbled, fmt::format("'{}' printed more than a megabyte", program),
                                  "print one spectrum only"};
        case ChildResult::End::killed:
            return failed(
                fmt::format("'{}' was ended by signal {} {}", program, result.status, last_words(result)),
                "run the command by hand to see why");
        case ChildResult::End::exited:
            break;
    }
    if (result.status != 0) {
        return failed(fmt::format("'{}' ended with status {} {}", program, result.status, last_words(result)),
                      "run the command by hand to see why");
    }
    return parse_spectrum_lines(result.out, fmt::format("'{}'", program));
}

}  // namespace isoseam
