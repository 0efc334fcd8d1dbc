#pragma once
// Which condition comes when.
//
//     for (const Run& run : run_order(protocol, seed, "P07"))    // each condition as often as it repeats
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "protocols/language/protocol.h"

namespace isoseam {

// One procedure on one condition, from its first trial to its last: one setting, or a whole staircase.
struct Run {
    int number = 0;     // From 1, in the order in which runs begin. It is the counter of the run's draws.
    int condition = 0;  // An index.
    int block = 0;      // An index.
    int repeat = 0;     // From 1.
};
// The order for a seed and a participant. Repeats are numbered as they are shown. InputError (key
// "--participant") where the order depends on the number at the end of the participant's code, and the code
// ends with none.
std::vector<Run> run_order(const Protocol& protocol, std::uint64_t seed, const std::string& participant);
// The number of "P07" is 7. None for a code that does not end with digits.
std::optional<std::uint64_t> participant_number(const std::string& participant);
bool depends_on_participant(const Protocol& protocol);

}  // namespace isoseam
