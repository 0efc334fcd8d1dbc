#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include "base/yaml_reader.h"
#include "calibration/display_model.h"
#include "colorimetry/colour_space.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/gamut_advice.h"
#include "protocols/setup/level_gamut.h"
#include "protocols/setup/light_use.h"
#include "protocols/setup/setup.h"

namespace isoseam {
namespace {

std::vector<LightUse> light_uses(const Setup& setup) {
    const Protocol& protocol = setup.protocol();
    const int source = setup.field_source();
    std::vector<LightUse> uses{{protocol.surround, "field.surround", "the surround", source}};
    if (protocol.ring)
        uses.push_back({*protocol.ring, "field.ring.light", "the ring", source});
    if (protocol.fixation)
        uses.push_back({*protocol.fixation, "field.fixation.light", "the fixation mark", source});
    if (protocol.adaptation)
        uses.push_back({*protocol.adaptation, "adaptation.light", "the adapting light", source});
    for (const Condition& condition : protocol.conditions) {
        uses.push_back({condition.reference, condition.keys.reference,
                        fmt::format("the reference of condition '{}'", condition.name),
                        setup.source_of(setup.reference_half())});
        if (condition.rings) {
            for (std::size_t half = 0; half < condition.rings->size(); ++half)
                uses.push_back({(*condition.rings)[half], condition.keys.rings[half],
                                fmt::format("a ring of condition '{}'", condition.name), source});
        }
    }
    return uses;
}

// The light scaled to the luminance (V_F of the observer) of `reference`.
Lms at_luminance_of(const Lms& reference, const Lms& light, const Observer& observer) {
    const double factor = luminance_cd_m2(reference, observer) / luminance_cd_m2(light, observer);
    return Lms::from_vector(factor * light.vector());
}

// Checks the flicker for the refresh rate at which the screen was calibrated.
void check_flicker_rate(const Setup& setup, FaultList& faults) {
    if (!setup.protocol().flicker)
        return;
    try {
        static_cast<void>(
            setup.flicker(setup.solver(setup.reference_half()).display().calibration().refresh_hz));
    } catch (const InputError& error) {
        for (const Fault& fault : error.faults())
            faults.add(fault);
    }
}

// Checks that each test light emits something, because otherwise it cannot be scaled.
void check_tests(const Setup& setup, FaultList& faults) {
    const Protocol& protocol = setup.protocol();
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        const std::optional<LightSpec>& test = protocol.conditions[i].test;
        if (!test)
            continue;
        const std::string& key = protocol.conditions[i].keys.test;
        try {
            const Lms lms = setup.light(*test, setup.source_of(protocol.adjusted)).lms;
            if (!(luminance_cd_m2(lms, setup.observer()) > 0.0)) {
                faults.add(protocol.fault_at(key, "a light without luminance",
                                             "name one that can be given the reference's luminance"));
            }
        } catch (const InputError& error) {
            for (const Fault& fault : error.faults())
                faults.add(fault.line == 0 ? protocol.fault_at(key, fault.found, fault.remedy) : fault);
        }
    }
}

// The fault of each description is told once, for the first part that uses it. Once is enough, because
// surround, mark, adaptation and references are all lit by one source.
void check_lights(const Setup& setup, FaultList& faults) {
    std::set<std::string> told;
    for (const LightUse& use : light_uses(setup)) {
        const std::string key = description_key(setup.protocol(), use.spec, use.key);
        if (told.count(key) == 0 && !shown_or_noted(setup, use, faults))
            told.insert(key);
    }
}

// Where an axis of a condition stands in the file.
std::string axis_key(const Protocol& protocol, int condition, const std::string& axis) {
    const Block& block = protocol.block(protocol.condition(condition).block);
    if (std::holds_alternative<AdjustmentPlan>(block.plan))
        return block.key + "adjustment.axes." + axis;
    if (std::holds_alternative<FlickerNullPlan>(block.plan))
        return block.key + "flicker_null.axis";
    return protocol.condition(condition).keys.along;
}

void check_axes(const Setup& setup, FaultList& faults) {
    const Protocol& protocol = setup.protocol();
    const int count = setup.solver(protocol.adjusted).display().primary_count();
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        const Block& block = setup.block_of(static_cast<int>(i));
        if (block.space != AdjustmentSpace::primaries)
            continue;
        for (const AdjustmentAxis& axis : protocol.conditions[i].axes) {
            // The direction of "primary 4" is (0, 0, 0, 1), however many primaries there are.
            Eigen::Index highest = 0;
            axis.direction.cwiseAbs().maxCoeff(&highest);
            if (highest < count)
                continue;
            faults.add(protocol.fault_at(
                axis_key(protocol, static_cast<int>(i), axis.name),
                fmt::format("source '{}' has no {}", setup.source_name(setup.source_of(protocol.adjusted)),
                            axis.name),
                fmt::format("it has {} primaries: take this axis away", count)));
        }
    }
}

void check_matches(const Setup& setup, FaultList& faults) {
    const Protocol& protocol = setup.protocol();
    const int shown_on = setup.source_of(setup.reference_half());
    const int adjusted = setup.source_of(protocol.adjusted);
    const DriveSolver& solver = setup.solver(protocol.adjusted);
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        const Condition& condition = protocol.conditions[i];
        const int bits = setup.solver(shown_on).display().calibration().bits;
        const DriveSolution match = solver.solve(setup.adjustment(static_cast<int>(i), bits).predicted);
        if (match.in_gamut)
            continue;
        const bool is_test = condition.test.has_value();
        faults.add(protocol.fault_at(
            is_test ? condition.keys.test : condition.keys.reference,
            fmt::format("the {} of condition '{}' on the {} is {}", is_test ? "test light" : "match",
                        condition.name, light_of_half(protocol.adjusted, protocol.field),
                        gamut_miss(match, solver, setup.source_name(adjusted))),
            is_test ? "choose a dimmer reference, or a test light nearer to the middle of the gamut"
                    : gamut_remedy(setup, condition.reference, shown_on, adjusted)));
    }
}

}  // namespace

std::vector<Calibration> calibrations_of(const Protocol& protocol, const std::vector<std::string>& paths,
                                         const std::function<Calibration(const std::string& path)>& read,
                                         std::vector<Fault>& faults) {
    std::vector<Calibration> calibrations;
    for (std::size_t i = 0; i < paths.size(); ++i) {
        try {
            calibrations.push_back(read(paths[i]));
        } catch (const InputError& error) {
            const RigSource& source = protocol.rig.sources[i];
            for (const Fault& fault : error.faults()) {
                const bool whole_file = fault.line == 0 && fault.file == source.calibration_file;
                faults.push_back(whole_file
                                     ? Fault{protocol.file, source.line, 0, "rig.sources." + source.name,
                                             fmt::format("calibration file '{}' {}", fault.file, fault.found),
                                             fault.remedy}
                                     : fault);
            }
        }
    }
    return calibrations;
}

Setup::Setup(Protocol protocol, const std::vector<Calibration>& calibrations)
    : protocol_(std::move(protocol)), observer_(protocol_.observer) {
    ISOSEAM_CHECK_EQ(calibrations.size(), protocol_.rig.sources.size());
    solvers_.reserve(calibrations.size());
    for (const Calibration& calibration : calibrations)
        solvers_.emplace_back(DisplayModel(calibration), observer_);
    FaultList faults(protocol_.file);
    check_lights(*this, faults);
    check_axes(*this, faults);
    check_tests(*this, faults);
    check_flicker_rate(*this, faults);
    if (faults.empty())
        check_matches(*this, faults);
    if (faults.empty())
        check_levels(*this, faults);
    faults.throw_if_any();
    keep_lights();
}

void Setup::keep_lights() {
    for (const LightUse& use : light_uses(*this))
        drives_.emplace(LightOnSource(&use.spec.node(), use.source), shown_light(*this, use).linear);
    for (const Condition& condition : protocol_.conditions) {
        if (condition.test) {
            const int source = source_of(protocol_.adjusted);
            test_lights_.emplace(LightOnSource(&condition.test->node(), source),
                                 light(*condition.test, source));
        }
    }
}

const DriveSolver& Setup::solver(Half half) const {
    return solver(source_of(half));
}

Light Setup::light(const LightSpec& spec, int source) const {
    if (const auto kept = test_lights_.find({&spec.node(), source}); kept != test_lights_.end())
        return kept->second;
    LightContext context = descriptions_of(protocol_);
    const DriveSolver& screen = solver(source);
    context.realise_xyz = [&screen](const Xyz& target) { return screen.spectrum(target); };
    context.realise_lms = [&screen](const Lms& target) { return screen.spectrum(target); };
    return resolve(spec, observer_, context);
}

LinearDrive Setup::light_on(const LightSpec& spec, int source) const {
    if (const auto kept = drives_.find({&spec.node(), source}); kept != drives_.end())
        return kept->second;
    return shown_light(*this, {spec, "", "a light", source}).linear;
}

LinearDrive Setup::reference(int condition) const {
    return light_on(protocol_.condition(condition).reference, source_of(reference_half()));
}

LinearDrive Setup::surround(int source) const {
    return light_on(protocol_.surround, source);
}

LinearDrive Setup::fixation(int source) const {
    ISOSEAM_CHECK(protocol_.fixation.has_value(), "the protocol has no fixation mark");
    return light_on(*protocol_.fixation, source);
}

LinearDrive Setup::ring(int source) const {
    ISOSEAM_CHECK(protocol_.ring.has_value(), "the protocol has no ring");
    return light_on(*protocol_.ring, source);
}

const Block& Setup::block_of(int condition) const {
    return protocol_.block(protocol_.condition(condition).block);
}

LinearDrive Setup::ring(int condition, Half half) const {
    const auto& rings = protocol_.condition(condition).rings;
    return rings ? light_on((*rings)[static_cast<std::size_t>(half)], field_source()) : ring(field_source());
}

LinearDrive Setup::adaptation(int source) const {
    ISOSEAM_CHECK(protocol_.adaptation.has_value(), "the protocol has no adapting light");
    return light_on(*protocol_.adaptation, source);
}

AdjustmentProblem Setup::adjustment(int condition, FrameDepth reference_depth) const {
    const DriveSolver& shown_by = solver(reference_half());
    const LinearDrive shown = shown_linear(reference(condition), shown_by.display(), reference_depth);
    AdjustmentProblem problem;
    problem.solver = &solver(protocol_.adjusted);
    problem.space = block_of(condition).space;
    problem.axes = protocol_.condition(condition).axes;
    if (const auto* adjustment = std::get_if<AdjustmentPlan>(&block_of(condition).plan))
        problem.time_limit_s = adjustment->time_limit_s;
    problem.predicted = shown_by.lms(shown);
    if (const auto& test = protocol_.condition(condition).test)
        problem.predicted =
            at_luminance_of(problem.predicted, light(*test, source_of(protocol_.adjusted)).lms, observer_);
    if (problem.space == AdjustmentSpace::primaries) {
        const Eigen::Index count = problem.solver->display().primary_count();
        for (AdjustmentAxis& axis : problem.axes) {
            const Eigen::Index kept = std::min(count, axis.direction.size());
            Eigen::VectorXd direction = Eigen::VectorXd::Zero(count);
            direction.head(kept) = axis.direction.head(kept);
            axis.direction = direction;
        }
    }
    return problem;
}

Flicker Setup::flicker(double refresh_hz) const {
    ISOSEAM_CHECK(protocol_.flicker.has_value(), "nothing flickers in this protocol");
    const FlickerPlan& plan = *protocol_.flicker;
    Flicker flicker;
    flicker.exchange = plan.exchange;
    try {
        flicker.rate = rate_of(plan.form, plan.frequency_hz, refresh_hz);
    } catch (const InputError& error) {
        const Fault& fault = error.faults().front();
        throw InputError(
            Fault{protocol_.file, plan.line, plan.column, "flicker.frequency", fault.found, fault.remedy});
    }
    const auto frames = [refresh_hz](double seconds) { return std::llround(seconds * refresh_hz); };
    flicker.onset_frames = static_cast<int>(frames(plan.onset_s));
    flicker.offset_frames = flicker.onset_frames;
    flicker.end_frame = frames(plan.longest_s);
    return flicker;
}

bool Setup::halves_share_primaries() const {
    return source_count() == 1 || share_primaries(solvers_[0].display(), solvers_[1].display());
}

}  // namespace isoseam
