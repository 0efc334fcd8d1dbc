#pragma once
// What an instrument's answer says, by its dialect.

#include <optional>
#include <string>
#include <string_view>

#include "calibration/instruments/serial_dialect.h"

namespace isoseam {

// What an answer says, its end mark included or not. Trouble::garbled names the value that is wrong by its
// number, or how many values there were of how many.
ReadingOutcome parse_answer(const SerialDialect& dialect, std::string_view answer);

// The reply that one of the answer's complete lines is, if any: known before the end mark comes.
std::optional<ReadingFailure> no_spectrum_reply(const SerialDialect& dialect, std::string_view answer);

// Bytes for people: what is no printable ASCII as \r, \n, \t or \x06; cut after `most`.
std::string visible_bytes(std::string_view bytes, std::size_t most = 60);

}  // namespace isoseam
