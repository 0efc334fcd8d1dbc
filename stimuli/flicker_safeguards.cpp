#include "stimuli/flicker_safeguards.h"

#include <fmt/format.h>

#include <utility>

namespace isoseam {
namespace {

using Kind = MissingSafeguard::Kind;
using Missing = std::vector<MissingSafeguard>;

void ask_for_soft_onset(const FlickerExposure& exposure, Missing& missing) {
    if (exposure.onset_s >= kShortestSoftOnsetSeconds)
        return;
    missing.push_back({Kind::soft_onset, fmt::format("the flicker sets in over {:.3g} s", exposure.onset_s),
                       fmt::format("let its depth rise over at least {:g} s", kShortestSoftOnsetSeconds)});
}

void ask_for_area_limit(const FlickerExposure& exposure, const std::optional<Degrees>& limit,
                        Missing& missing) {
    const char* remedy = "state the largest field that may flicker, and keep the field within it";
    if (!limit) {
        missing.push_back({Kind::area_limit, "nothing limits the flickering area", remedy});
    } else if (!(exposure.diameter <= *limit)) {
        missing.push_back(
            {Kind::area_limit,
             fmt::format("the flickering field of {:.4g} deg is larger than the limit of {:.4g} deg",
                         exposure.diameter.degrees(), limit->degrees()),
             remedy});
    }
}

void ask_for_duration_limit(const FlickerExposure& exposure, const std::optional<double>& limit_s,
                            Missing& missing) {
    const char* remedy = "state how long it may flicker at a stretch, and keep to it";
    if (!limit_s) {
        missing.push_back({Kind::duration_limit, "nothing limits how long it flickers", remedy});
    } else if (!(exposure.duration_s <= *limit_s)) {
        missing.push_back({Kind::duration_limit,
                           fmt::format("it may flicker for {:.4g} s, longer than the limit of {:.4g} s",
                                       exposure.duration_s, *limit_s),
                           remedy});
    }
}

}  // namespace

std::vector<MissingSafeguard> missing_safeguards(const FlickerExposure& exposure,
                                                 const FlickerSafeguards& provided) {
    Missing missing;
    if (exposure.depth == 0.0)
        return missing;
    if (!provided.exclusion_question) {
        missing.push_back(
            {Kind::exclusion_question, "the participant is not asked whether flicker could harm",
             "ask before the first flicker about epilepsy, seizures and migraine, and show none to "
             "whoever says yes"});
    }
    ask_for_soft_onset(exposure, missing);
    ask_for_area_limit(exposure, provided.largest_diameter, missing);
    ask_for_duration_limit(exposure, provided.longest_s, missing);
    if (!provided.acknowledged) {
        missing.push_back(
            {Kind::acknowledgement, "the experimenter has not acknowledged that it flickers",
             "acknowledge that flicker can trigger seizures and that your ethics board allows it"});
    }
    return missing;
}

}  // namespace isoseam
