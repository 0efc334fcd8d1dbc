#include <fmt/format.h>

#include <algorithm>

#include "base/random.h"
#include "calibration/display_model.h"
#include "colorimetry/rods.h"
#include "protocols/checks/cautions.h"
#include "protocols/checks/check.h"
#include "protocols/checks/plan.h"
#include "protocols/course/run_order.h"
#include "protocols/course/start_reach.h"
#include "protocols/language/durations.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam {
namespace {

// Attention wanes in a longer sitting (common practice).
constexpr double kLongSittingS = 3600.0;
// A condition in which a smaller share of starts is in gamut should get a smaller range of starts.
constexpr double kFewReachable = 0.8;
constexpr int kDeadEndDraws = 500;

void take_over(const InputError& error, FaultOf of, ProtocolReport& report) {
    for (const Fault& fault : error.faults())
        report.faults.push_back({fault, of});
}

// Reads the calibrations. What is wrong with those that cannot be read stands in the report.
std::vector<Calibration> read_calibrations(const Protocol& protocol,
                                           const std::map<std::string, std::string>& calibration_files,
                                           ProtocolReport& report) {
    std::vector<std::string> paths;
    try {
        paths = calibration_paths(protocol, calibration_files);
    } catch (const InputError& error) {
        // A source without a calibration is a fault of the protocol's file. A name that is no source is a
        // fault of the command line.
        for (const Fault& fault : error.faults())
            report.faults.push_back({fault, fault.file.empty() ? FaultOf::command_line : FaultOf::file});
    }
    std::vector<Fault> faults;
    std::vector<Calibration> calibrations = calibrations_of(protocol, paths, read_calibration, faults);
    for (Fault& fault : faults)
        report.faults.push_back({std::move(fault), FaultOf::file});
    return calibrations;
}

ProtocolReport::ConditionReport condition_report(const Setup& setup, int condition, DitherKind dither) {
    const Protocol& protocol = setup.protocol();
    const Condition& asked = protocol.condition(condition);
    const DriveSolver& shown_by = setup.solver(setup.reference_half());
    const int bits = shown_by.display().calibration().bits;
    const AdjustmentProblem problem = setup.adjustment(condition, {bits, dither});
    ProtocolReport::ConditionReport report;
    report.name = asked.name;
    report.reference_margin = shown_by.solve(shown_by.lms(setup.reference(condition))).gamut_margin;
    report.match_margin = problem.solver->solve(problem.predicted).gamut_margin;
    report.block = asked.block;
    if (std::holds_alternative<AdjustmentPlan>(setup.block_of(condition).plan))
        report.reachable_share = reachable_share(problem);
    const LinearDrive match =
        stimulus_at(problem, Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem.axes.size()))).linear;
    report.rod_contrast = rod_contrast(problem.solver->display().spectrum(match),
                                       shown_by.display().spectrum(setup.reference(condition)));
    return report;
}

std::vector<ProtocolReport::BlockReport> block_reports(const Protocol& protocol) {
    std::vector<ProtocolReport::BlockReport> reports;
    for (int i = 0; i < static_cast<int>(protocol.blocks.size()); ++i) {
        const Block& block = protocol.block(i);
        reports.push_back({block.name, procedure_words(block), planned_trials(protocol, i),
                           expected_duration_s(protocol, i)});
    }
    return reports;
}

void take_age(const CheckedFor& whom, Protocol& protocol, ProtocolReport& report) {
    if (!protocol.age_from_session && !whom.age_years)
        return;
    try {
        report.age_years = whom.age_years.value_or(kUsualAgeYears);
        set_age(protocol, *report.age_years);
    } catch (const InputError& error) {
        take_over(error, FaultOf::command_line, report);
    }
}

void try_participant(const CheckedFor& whom, const Protocol& protocol, ProtocolReport& report) {
    if (whom.participant.empty())
        return;
    try {
        static_cast<void>(run_order(protocol, 0, whom.participant));
    } catch (const InputError& error) {
        take_over(error, FaultOf::command_line, report);
    }
}

void note_whom(const CheckedFor& whom, const Protocol& protocol, std::vector<Caution>& cautions) {
    if (protocol.age_from_session && !whom.age_years) {
        cautions.push_back(
            {CautionKind::participant,
             fmt::format(
                 "The observer's age is the participant's. This report is for {:g} years; --age gives "
                 "another: lights may fit for one age and not for another.",
                 kUsualAgeYears)});
    }
    if (depends_on_participant(protocol)) {
        cautions.push_back(
            {CautionKind::participant,
             "The order hangs on the number at the end of the participant's code: count them through, P01, "
             "P02, "
             "P03 ..., and leave none out."});
    }
}

// Checks for starting points from which nobody could come to the match, however long they tried.
void check_dead_ends(const Setup& setup, int condition, DitherKind dither, ProtocolReport& report) {
    const auto* plan = std::get_if<AdjustmentPlan>(&setup.block_of(condition).plan);
    if (plan == nullptr)
        return;
    const int bits = setup.solver(setup.reference_half()).display().calibration().bits;
    const double share = dead_end_share(setup.adjustment(condition, {bits, dither}), *plan, kDeadEndDraws);
    const Condition& asked = setup.protocol().condition(condition);
    if (share > 0.0) {
        report.faults.push_back(
            {{setup.protocol().file, asked.line, asked.column, asked.keys.reference,
              fmt::format(
                  "from {:.2g} % of the starting points of condition '{}' no steps inside the gamut lead "
                  "to the match",
                  100.0 * share, asked.name),
              "choose a smaller start, smaller fine steps, or a reference nearer to the middle of the gamut"},
             FaultOf::screens});
    }
}

void describe(const Setup& setup, DitherKind dither, const CheckedFor& whom, ProtocolReport& report) {
    report.halves_share_primaries = setup.halves_share_primaries();
    std::vector<Caution> cautions = cautions_of(setup, dither);
    note_whom(whom, setup.protocol(), cautions);
    for (int i = 0; i < static_cast<int>(setup.protocol().conditions.size()); ++i) {
        report.conditions.push_back(condition_report(setup, i, dither));
        check_dead_ends(setup, i, dither, report);
        const ProtocolReport::ConditionReport& condition = report.conditions.back();
        if (condition.reachable_share && *condition.reachable_share < kFewReachable) {
            cautions.push_back(
                {CautionKind::starts,
                 fmt::format(
                     "Of {} starting points of condition '{}', {:.0f} % lie out of gamut and will be moved "
                     "towards the match: "
                     "smaller start ranges, or a reference nearer to the middle of the gamut, would avoid "
                     "it.",
                     kReachabilityDraws, condition.name, 100.0 * (1.0 - *condition.reachable_share))});
        }
    }
    if (report.expected_duration_s > kLongSittingS) {
        cautions.push_back(
            {CautionKind::duration,
             fmt::format("The session will take about {:.0f} minutes, which is long for one sitting: "
                         "plan it in parts.",
                         report.expected_duration_s / 60.0)});
    }
    report.cautions = caution_texts(cautions);
}

}  // namespace

double reachable_share(const AdjustmentProblem& problem) {
    const RandomStream stream{0, kStreamStartingPoints};
    int reached = 0;
    for (int trial = 1; trial <= kReachabilityDraws; ++trial)
        reached += start_adjustment(problem, stream, trial).start_shrunk_to == 1.0 ? 1 : 0;
    return static_cast<double>(reached) / kReachabilityDraws;
}

ProtocolReport check_protocol(const std::string& path, const CalibrationFilesOf& calibration_files,
                              DitherKind dither, const CheckedFor& whom) {
    ProtocolReport report;
    std::optional<Protocol> protocol;
    try {
        protocol = read_protocol(path);
    } catch (const InputError& error) {
        take_over(error, FaultOf::file, report);
        return report;
    }
    report.settings = planned_trials(*protocol);
    report.expected_duration_s = expected_duration_s(*protocol);
    report.blocks = block_reports(*protocol);
    take_age(whom, *protocol, report);
    try_participant(whom, *protocol, report);
    const std::vector<Calibration> calibrations = read_calibrations(
        *protocol, calibration_files ? calibration_files(*protocol) : std::map<std::string, std::string>{},
        report);
    if (!report.faults.empty())
        return report;
    try {
        describe(Setup(std::move(*protocol), calibrations), dither, whom, report);
    } catch (const InputError& error) {
        take_over(error, FaultOf::screens, report);
    }
    return report;
}

}  // namespace isoseam
