#include <fmt/format.h>

#include <algorithm>

#include "colorimetry/random.h"
#include "colorimetry/rods.h"
#include "protocols/protocol.h"

namespace isoseam {
namespace {

// Attention wanes over a sitting (common practice).
constexpr double kLongSittingS = 3600.0;
// A condition that starts on the border more often than this is better given a smaller range.
constexpr double kFewReachable = 0.8;

void take_over(const InputError& error, std::vector<Fault>& faults) {
    faults.insert(faults.end(), error.faults().begin(), error.faults().end());
}

// A file that is not there is told where the protocol names it, unless the command line did.
void take_over_calibration(const InputError& error, const Protocol& protocol, std::size_t source,
                           std::vector<Fault>& faults) {
    const RigSource& named = protocol.rig.sources[source];
    for (Fault fault : error.faults()) {
        if (fault.line == 0 && fault.file == named.calibration_file) {
            fault = {protocol.file,
                     named.line,
                     0,
                     "rig.sources." + named.name,
                     fmt::format("calibration file '{}' {}", fault.file, fault.found),
                     fault.remedy};
        }
        faults.push_back(std::move(fault));
    }
}

std::vector<Calibration> read_calibrations(const Protocol& protocol,
                                           const std::map<std::string, std::string>& calibration_files,
                                           std::vector<Fault>& faults) {
    std::vector<Calibration> calibrations;
    const std::vector<std::string> paths = calibration_paths(protocol, calibration_files);
    for (std::size_t i = 0; i < paths.size(); ++i) {
        try {
            calibrations.push_back(read_calibration(paths[i]));
        } catch (const InputError& error) {
            take_over_calibration(error, protocol, i, faults);
        }
    }
    return calibrations;
}

ProtocolReport::ConditionReport condition_report(const Setup& setup, int condition, DitherKind dither) {
    const Protocol& protocol = setup.protocol();
    const Condition& asked = protocol.conditions[static_cast<std::size_t>(condition)];
    const DriveSolver& shown_by = setup.solver(setup.reference_half());
    const int bits = shown_by.display().calibration().bits;
    const AdjustmentProblem problem = setup.problem(condition, {bits, dither});
    ProtocolReport::ConditionReport report;
    report.name = asked.name;
    report.reference_margin = shown_by.solve(shown_by.lms(setup.reference(condition))).gamut_margin;
    report.match_margin = problem.solver->solve(problem.predicted).gamut_margin;
    report.reachable_share = reachable_share(problem);
    const LinearDrive match =
        stimulus_at(problem, Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem.axes.size()))).linear;
    report.rod_contrast = rod_contrast(problem.solver->display().spectrum(match),
                                       shown_by.display().spectrum(setup.reference(condition)));
    return report;
}

void describe(const Setup& setup, DitherKind dither, ProtocolReport& report) {
    report.halves_share_primaries = setup.halves_share_primaries();
    report.cautions = setup.cautions(dither);
    const std::string last = report.cautions.back();  // on diagnosis: stays last
    report.cautions.pop_back();
    for (int i = 0; i < static_cast<int>(setup.protocol().conditions.size()); ++i) {
        report.conditions.push_back(condition_report(setup, i, dither));
        const ProtocolReport::ConditionReport& condition = report.conditions.back();
        if (condition.reachable_share < kFewReachable) {
            report.cautions.push_back(fmt::format(
                "Of {} starting points of condition '{}', {:.0f} % lie out of gamut and will be moved "
                "towards the match: "
                "smaller start ranges, or a reference nearer to the middle of the gamut, would avoid it.",
                kReachabilityDraws, condition.name, 100.0 * (1.0 - condition.reachable_share)));
        }
    }
    if (report.expected_duration_s > kLongSittingS) {
        report.cautions.push_back(
            fmt::format("The session will take about {:.0f} minutes, which is long for one sitting: "
                        "plan it in parts.",
                        report.expected_duration_s / 60.0));
    }
    report.cautions.push_back(last);
}

}  // namespace

double reachable_share(const AdjustmentProblem& problem) {
    const RandomStream stream{0, kStreamStartingPoints};
    int reached = 0;
    for (int trial = 1; trial <= kReachabilityDraws; ++trial)
        reached += start_adjustment(problem, stream, trial).start_shrunk_to == 1.0 ? 1 : 0;
    return static_cast<double>(reached) / kReachabilityDraws;
}

ProtocolReport check_protocol(const std::string& path,
                              const std::map<std::string, std::string>& calibration_files,
                              DitherKind dither) {
    ProtocolReport report;
    try {
        Protocol protocol = read_protocol(path);
        report.settings = static_cast<int>(trial_order(protocol, 0).size());
        report.expected_duration_s = expected_duration_s(protocol);
        const std::vector<Calibration> calibrations =
            read_calibrations(protocol, calibration_files, report.faults);
        if (report.faults.empty())
            describe(Setup(std::move(protocol), calibrations), dither, report);
    } catch (const InputError& error) {
        take_over(error, report.faults);
    }
    return report;
}

}  // namespace isoseam
