#include "calibration/instruments/serial_instrument.h"

#include <fmt/format.h>

#include <chrono>

#include "calibration/instruments/serial_answer.h"

namespace isoseam {
namespace {

constexpr double kSendSeconds = 10.0;
constexpr std::size_t kMostBytes = 4 * 1024 * 1024;

double steady_now_s() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

std::string settings_words(const LineSettings& line) {
    const char* parity = line.parity == Parity::none ? "no" : line.parity == Parity::even ? "even" : "odd";
    return fmt::format("{} baud, {} data bits, {} parity, {} stop bit(s)", line.baud, line.data_bits, parity,
                       line.stop_bits);
}

}  // namespace

SerialInstrument::SerialInstrument(SerialOptions options) : options_(std::move(options)) {}

InstrumentRecord SerialInstrument::record() const {
    InstrumentRecord record;
    record.kind = "serial";
    record.description = fmt::format("{}, on {}, dialect {}", options_.dialect.instrument, options_.port,
                                     options_.dialect.file);
    record.unit = options_.dialect.unit;
    return record;
}

ReadingFailure SerialInstrument::unplugged(const std::string& why) const {
    return {
        Trouble::unplugged, fmt::format("the line {} is not there: {}", options_.port, why),
        fmt::format("plug the instrument in and switch it on, see that you may use the port, or name another "
                    "with --port (there are: {})",
                    SerialPort::ports_there_are())};
}

ReadingFailure SerialInstrument::silent(const SerialExchange& exchange, const std::string& answer) const {
    if (answer.empty()) {
        return {
            Trouble::time_out,
            fmt::format("no answer to '{}' within {:g} s", visible_bytes(exchange.send), exchange.within_s),
            fmt::format("see that the instrument is on, awake and set to {}, or allow more time in {}",
                        settings_words(options_.dialect.line), options_.dialect.file)};
    }
    return {Trouble::time_out,
            fmt::format(
                "the answer to '{}' was cut off: after {:g} s it was '{}' ({} bytes) without its end '{}'",
                visible_bytes(exchange.send), exchange.within_s, visible_bytes(answer), answer.size(),
                visible_bytes(exchange.until)),
            fmt::format("read again; if it stays so, allow more time or write another end in {}",
                        options_.dialect.file)};
}

std::optional<ReadingFailure> SerialInstrument::converse(const SerialExchange& exchange,
                                                         std::string& answer) {
    const std::string not_sent = port_.send(exchange.send, kSendSeconds);
    if (!not_sent.empty())
        return unplugged(not_sent);
    const double until_s = steady_now_s() + exchange.within_s;
    while (true) {
        const double left_s = until_s - steady_now_s();
        if (!(left_s > 0.0))
            return silent(exchange, answer);
        const SerialPort::Heard heard = port_.hear(left_s);
        answer += heard.bytes;
        const std::size_t end = answer.find(exchange.until);
        if (end != std::string::npos) {
            answer.resize(end + exchange.until.size());
            return std::nullopt;
        }
        if (std::optional<ReadingFailure> reply = no_spectrum_reply(options_.dialect, answer))
            return reply;
        if (heard.gone)
            return unplugged(fmt::format("it was lost after {} bytes of an answer", answer.size()));
        if (answer.size() > kMostBytes)
            return ReadingFailure{Trouble::garbled,
                                  fmt::format("an answer of more than {} bytes", kMostBytes),
                                  "compare baud, parity and the dialect with the instrument's manual"};
    }
}

std::optional<ReadingFailure> SerialInstrument::open() {
    const std::string why = port_.open(options_.port, options_.dialect.line);
    if (!why.empty())
        return unplugged(why);
    for (const SerialExchange& exchange : options_.dialect.opening) {
        std::string answer;
        if (std::optional<ReadingFailure> failure = converse(exchange, answer))
            return failure;
        if (answer.find(exchange.expect) == std::string::npos) {
            return ReadingFailure{
                Trouble::garbled,
                fmt::format("to '{}' the instrument answered '{}' instead of '{}'",
                            visible_bytes(exchange.send), visible_bytes(answer),
                            visible_bytes(exchange.expect)),
                fmt::format("see that {} is the dialect of this instrument", options_.dialect.file)};
        }
    }
    return std::nullopt;
}

ReadingOutcome SerialInstrument::read(const ShownPatch& /*shown*/) {
    std::optional<ReadingFailure> failure;
    std::string answer;
    if (!port_.is_open())
        failure = open();
    if (!failure) {
        port_.drop_what_came();
        failure = converse(options_.dialect.reading, answer);
    }
    const ReadingOutcome outcome = failure ? *failure : parse_answer(options_.dialect, answer);
    // After half an answer its rest may come late: the line is begun anew. What the instrument said on
    // purpose leaves it in order.
    const auto* trouble = std::get_if<ReadingFailure>(&outcome);
    if (trouble != nullptr && trouble->trouble != Trouble::saturated && trouble->trouble != Trouble::too_dark)
        port_.close();
    return outcome;
}

}  // namespace isoseam
