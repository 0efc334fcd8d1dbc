#pragma once
// This header reads what an instrument's answer says, by its dialect.

#include <optional>
#include <string>
#include <string_view>

#include "calibration/instruments/serial_dialect.h"

namespace isoseam {

// Reads what an answer says, whether its end mark is included or not. Trouble::garbled names the number of
// the value that is wrong, or says how many values came and how many were expected.
ReadingOutcome parse_answer(const SerialDialect& dialect, std::string_view answer);

// Gives the reply that says that there is no spectrum, if a complete line of the answer is such a reply. It
// can be recognised before the end mark comes.
std::optional<ReadingFailure> no_spectrum_reply(const SerialDialect& dialect, std::string_view answer);

// Writes bytes for people: what is no printable ASCII becomes \r, \n, \t or \x06, and the text is cut after
// `most` bytes.
std::string visible_bytes(std::string_view bytes, std::size_t most = 60);

}  // namespace isoseam
