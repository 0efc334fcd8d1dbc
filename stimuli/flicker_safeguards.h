#pragma once
// What must stand around flicker before anybody looks at it. The stop key is always there and is not asked
// for.

#include <optional>
#include <string>
#include <vector>

#include "base/quantity.h"

namespace isoseam {

// A flickering stimulus, as far as it can harm.
struct FlickerExposure {
    double frequency_hz = 0.0;
    double depth = 1.0;       // at 0 nothing flickers, and nothing is asked for
    Degrees diameter;         // the flickering field's diameter, or the diagonal of a square field
    double duration_s = 0.0;  // the longest that it may go on at a stretch
    double onset_s = 0.0;
};

// What a protocol provides.
struct FlickerSafeguards {
    // The participant is asked beforehand about epilepsy, seizures and migraine, and whoever says yes is not
    // shown it.
    bool exclusion_question = false;
    std::optional<Degrees> largest_diameter;  // a limit that the protocol sets itself
    std::optional<double> longest_s;
    bool acknowledged = false;  // by the experimenter, in writing
};

// The shortest onset that counts as soft; our own choice.
inline constexpr double kShortestSoftOnsetSeconds = 0.5;

struct MissingSafeguard {
    enum class Kind { exclusion_question, soft_onset, area_limit, duration_limit, acknowledgement };
    Kind kind = Kind::exclusion_question;
    std::string found;   // what is missing or too weak
    std::string remedy;  // what would do
};

// All that is missing, in the order of Kind; empty when the stimulus may be shown. The safeguards are asked
// for at every frequency, since flicker outside 3 to 60 Hz harms more rarely but is not harmless.
std::vector<MissingSafeguard> missing_safeguards(const FlickerExposure& exposure,
                                                 const FlickerSafeguards& provided);

}  // namespace isoseam
