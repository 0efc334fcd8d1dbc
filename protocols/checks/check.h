#pragma once
// `protocol check`: everything that can be said before a participant sits down.
//
//     const ProtocolReport report = check_protocol("p.yaml", {});
//     for (const ReportedFault& fault : report.faults) ...    // none: the protocol can be run
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/errors.h"
#include "protocols/language/durations.h"
#include "protocols/setup/setup.h"
#include "stimuli/frame_depth.h"

namespace isoseam {

// What a fault is about. The way in which a command ends depends on it.
enum class FaultOf {
    command_line,  // An age, a participant's code or a calibration's source is wrong on the command line.
    file,          // A protocol or a calibration cannot be read.
    screens,       // The files are sound, but these screens cannot show what the protocol asks for.
};
struct ReportedFault : Fault {
    FaultOf of = FaultOf::file;
};

struct ProtocolReport {
    std::vector<ReportedFault> faults;
    std::vector<std::string> cautions;
    double expected_duration_s = 0.0;
    int settings = 0;
    bool halves_share_primaries = false;
    struct ConditionReport {
        std::string name;
        double reference_margin = 0.0;  // The gamut margin of the reference on its half.
        double match_margin = 0.0;      // The gamut margin of the predicted match on the adjusted half.
        // The share of an adjustment's starting points that are in gamut, 0 to 1. No value for other blocks.
        std::optional<double> reachable_share;
        // The contrast of the predicted match against the reference half for rods (CIE 1951). No value where
        // the reference gives rods nothing.
        std::optional<double> rod_contrast;
        int block = 0;  // An index.
    };
    std::vector<ConditionReport> conditions;
    struct BlockReport {
        std::string name;  // "" where the protocol is one block.
        std::string what;  // For example "adjustment" or "forced_choice by staircase".
        int trials = 0;    // The number of settings or answers.
        double expected_duration_s = 0.0;
    };
    std::vector<BlockReport> blocks;
    std::optional<double> age_years;  // The age that was used for a protocol with `age: session`.
};
// reachable_share is the share of this many starting points, drawn as a session with seed 0 would draw them.
inline constexpr int kReachabilityDraws = 2000;
double reachable_share(const AdjustmentProblem& problem);
// For whom a protocol is checked, where it depends on the participant.
struct CheckedFor {
    std::optional<double> age_years;  // Used with `age: session`. No value: kUsualAgeYears.
    std::string participant;          // The participant's code. "": nobody in particular.
};
inline constexpr double kUsualAgeYears = 32.0;
// Gives the paths of the calibrations that the command line names, by source. It is asked once, with the
// protocol that was read. If the function is empty, the protocol's own calibrations are used.
using CalibrationFilesOf = std::function<std::map<std::string, std::string>(const Protocol&)>;

// Reads the protocol and its calibrations once and checks them. All that is wrong stands in the report, and
// nothing is thrown except what `calibration_files` throws. A path from `calibration_files` replaces the
// protocol's own. `dither` is the dither that sessions will use.
ProtocolReport check_protocol(const std::string& path, const CalibrationFilesOf& calibration_files,
                              DitherKind dither = DitherKind::ordered, const CheckedFor& whom = {});

}  // namespace isoseam
