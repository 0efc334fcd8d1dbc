#pragma once
// Which condition comes when.
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "protocols/language/protocol.h"

namespace isoseam {

// One procedure on one condition, from its first trial to its last: one setting, or a whole staircase.
struct Run {
    int number = 0;     // 1 .. in the order begun; the counter of its draws
    int condition = 0;  // index
    int block = 0;      // index
    int repeat = 0;     // 1 ..
};
// The order for a seed and a participant. Repeats are numbered as they are shown. InputError (key
// "--participant") where the order hangs on the number at the end of the code, and there is none.
std::vector<Run> run_order(const Protocol& protocol, std::uint64_t seed, const std::string& participant);
// "P07" is 7; none without digits at the end.
std::optional<std::uint64_t> participant_number(const std::string& participant);
bool depends_on_participant(const Protocol& protocol);

}  // namespace isoseam
