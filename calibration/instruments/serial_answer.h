#pragma once
// What an instrument's answer says, by its dialect.

#include <optional>
#include <string>
#include <string_view>

#include "calibration/instruments/serial_dialect.h"

namespace isoseam {

// Reads what an answer says, whether its end mark is included or not. Trouble::garbled names the number of
// the value that is wrong, or how many values came of how many.
ReadingOutcome parse_answer(const SerialDialect& dialect, std::string_view answer);

// The reply that says there is no spectrum, if one of the answer's complete lines is one. It is known
// before the end mark comes.
std::optional<ReadingFailure> no_spectrum_reply(const SerialDialect& dialect, std::string_view answer);

// Writes bytes for people: what is no printable ASCII becomes \r, \n, \t or \x06, and the text is cut after
// `most` bytes.
std::string visible_bytes(std::string_view bytes, std::size_t most = 60);

}  // namespace isoseam
