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

// What a fault is about, and with it how a command ends.
enum class FaultOf {
    command_line,  // wrong usage: an age, a participant's code, a calibration for a source that is not there
    file,          // a protocol or a calibration that cannot be read
    screens,       // the files are sound, and these screens cannot show what the protocol asks for
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
// Gives the paths of the calibrations that the command line names, by source. It is asked once, with the protocol that
// was read. An empty function: the protocol's own calibrations.
using CalibrationFilesOf = std::function<std::map<std::string, std::string>(const Protocol&)>;

// Reads the protocol and its calibrations once and checks them. What is wrong stands in the report, so nothing is
// thrown but what `calibration_files` throws. A path from `calibration_files` goes before the protocol's own. `dither` is
// what sessions will use.
ProtocolReport check_protocol(const std::string& path, const CalibrationFilesOf& calibration_files,
                              DitherKind dither = DitherKind::ordered, const CheckedFor& whom = {});

}  // namespace isoseam
