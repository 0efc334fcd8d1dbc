#pragma once
// `protocol check`: everything that can be said before a participant sits down.
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/errors.h"
#include "protocols/language/durations.h"
#include "protocols/setup/setup.h"
#include "stimuli/frame_depth.h"

namespace isoseam {

struct ProtocolReport {
    std::vector<Fault> faults;  // of the file and of lights out of gamut
    std::vector<std::string> cautions;
    double expected_duration_s = 0.0;
    int settings = 0;
    bool halves_share_primaries = false;
    struct ConditionReport {
        std::string name;
        double reference_margin = 0.0;  // gamut margin on the reference half
        double match_margin = 0.0;      // of the predicted match on the adjusted half
        // Of the starting points of an adjustment that are in gamut, 0..1; none for other blocks.
        std::optional<double> reachable_share;
        // Of the predicted match against the reference half, for rods (CIE 1951); none beside a reference
        // that gives rods nothing.
        std::optional<double> rod_contrast;
        int block = 0;  // index
    };
    std::vector<ConditionReport> conditions;
    struct BlockReport {
        std::string name;  // "" where the protocol is one block
        std::string what;  // "adjustment", "forced_choice by staircase" ...
        int trials = 0;    // settings or answers
        double expected_duration_s = 0.0;
    };
    std::vector<BlockReport> blocks;
    std::optional<double> age_years;  // that was taken for a protocol with `age: session`
};
// reachable_share is the share of this many starting points, drawn as a session with seed 0 would draw them.
inline constexpr int kReachabilityDraws = 2000;
double reachable_share(const AdjustmentProblem& problem);
// For whom a protocol is checked, where it depends on the participant.
struct CheckedFor {
    std::optional<double> age_years;  // with `age: session`; none: kUsualAgeYears
    std::string participant;          // "": nobody
};
inline constexpr double kUsualAgeYears = 32.0;
// Never throws InputError: what is wrong stands in the report. `calibration_files` gives the path for a source's name, from
// the command line, and overrides the protocol's own. `dither` is what sessions will use.
ProtocolReport check_protocol(const std::string& path,
                              const std::map<std::string, std::string>& calibration_files,
                              DitherKind dither = DitherKind::ordered, const CheckedFor& whom = {});

}  // namespace isoseam
