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
#include "protocols/setup/setup.h"

namespace isoseam {
namespace {

// A light and the part that it lights. For example, the part "the surround" has the key "field.surround".
struct LightUse {
    const LightSpec* spec;
    std::string key;
    std::string part;
    int source = 0;
};

std::vector<LightUse> light_uses(const Setup& setup) {
    const Protocol& protocol = setup.protocol();
    const int source = setup.field_source();
    std::vector<LightUse> uses{{&protocol.surround, "field.surround", "the surround", source}};
    if (protocol.ring)
        uses.push_back({&*protocol.ring, "field.ring.light", "the ring", source});
    if (protocol.fixation)
        uses.push_back({&*protocol.fixation, "field.fixation.light", "the fixation mark", source});
    if (protocol.adaptation)
        uses.push_back({&*protocol.adaptation, "adaptation.light", "the adapting light", source});
    for (const Condition& condition : protocol.conditions) {
        uses.push_back({&condition.reference, condition.keys.reference,
                        fmt::format("the reference of condition '{}'", condition.name),
                        setup.source_of(setup.reference_half())});
        if (condition.rings) {
            for (std::size_t half = 0; half < condition.rings->size(); ++half)
                uses.push_back({&(*condition.rings)[half], condition.keys.rings[half],
                                fmt::format("a ring of condition '{}'", condition.name), source});
        }
    }
    return uses;
}

Fault fault_at(const Protocol& protocol, const std::string& key, std::string found, std::string remedy) {
    const auto found_place = protocol.places.find(key);
    const Place place = found_place == protocol.places.end() ? Place{} : found_place->second;
    return {protocol.file, place.line, place.column, key, std::move(found), std::move(remedy)};
}

const std::string& source_name(const Setup& setup, int source) {
    return setup.protocol().rig.sources[static_cast<std::size_t>(source)].name;
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
                faults.add(fault_at(protocol, key, "a light without luminance",
                                    "name one that can be given the reference's luminance"));
            }
        } catch (const InputError& error) {
            for (const Fault& fault : error.faults())
                faults.add(fault.line == 0 ? fault_at(protocol, key, fault.found, fault.remedy) : fault);
        }
    }
}

// Whether the light emits nothing. Such a light is the screen's own black.
bool is_no_light(const Lms& lms) {
    return lms.l == 0.0 && lms.m == 0.0 && lms.s == 0.0;
}

LinearDrive drive_for(const Setup& setup, const LightUse& use) {
    const DriveSolver& solver = setup.solver(use.source);
    const Light light = setup.light(*use.spec, use.source);
    if (is_no_light(light.lms))
        return {Eigen::VectorXd::Zero(solver.display().primary_count())};
    DriveSolution solution = solver.solve(light.lms);
    if (solution.in_gamut)
        return std::move(solution.linear);
    const std::string key = description_key(setup.protocol(), *use.spec, use.key);
    const std::string who = key == use.key ? use.part : fmt::format("'{}' ({})", use.spec->text(), use.part);
    throw InputError(
        fault_at(setup.protocol(), key,
                 fmt::format("{} is {}", who, gamut_miss(solution, solver, source_name(setup, use.source))),
                 gamut_remedy(setup, *use.spec, use.source, use.source)));
}

// Notes what is wrong with this use of a light. An error without a place gets the light's place.
bool note_if_not_shown(const Setup& setup, const LightUse& use, FaultList& faults) {
    try {
        drive_for(setup, use);
        return true;
    } catch (const InputError& error) {
        for (Fault fault : error.faults()) {
            if (fault.line == 0) {
                const std::string key = description_key(setup.protocol(), *use.spec, use.key);
                fault = fault_at(setup.protocol(), key, fmt::format("{}: {}", use.part, fault.found),
                                 fault.remedy);
            }
            faults.add(std::move(fault));
        }
        return false;
    }
}

// The fault of each description is told once, for the first part that uses it. Once is enough, because
// surround, mark, adaptation and references are all lit by one source.
void check_lights(const Setup& setup, FaultList& faults) {
    std::set<std::string> told;
    for (const LightUse& use : light_uses(setup)) {
        const std::string key = description_key(setup.protocol(), *use.spec, use.key);
        if (told.count(key) == 0 && !note_if_not_shown(setup, use, faults))
            told.insert(key);
    }
}

// Where an axis of a condition stands in the file.
std::string axis_key(const Protocol& protocol, int condition, const std::string& axis) {
    const Block& block =
        protocol
            .blocks[static_cast<std::size_t>(protocol.conditions[static_cast<std::size_t>(condition)].block)];
    if (std::holds_alternative<AdjustmentPlan>(block.plan))
        return block.key + "adjustment.axes." + axis;
    if (std::holds_alternative<FlickerNullPlan>(block.plan))
        return block.key + "flicker_null.axis";
    return protocol.conditions[static_cast<std::size_t>(condition)].keys.along;
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
            faults.add(
                fault_at(protocol, axis_key(protocol, static_cast<int>(i), axis.name),
                         fmt::format("source '{}' has no {}",
                                     source_name(setup, setup.source_of(protocol.adjusted)), axis.name),
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
        faults.add(
            fault_at(protocol, is_test ? condition.keys.test : condition.keys.reference,
                     fmt::format("the {} of condition '{}' on the {} is {}", is_test ? "test light" : "match",
                                 condition.name, light_of_half(protocol.adjusted, protocol.field),
                                 gamut_miss(match, solver, source_name(setup, adjusted))),
                     is_test ? "choose a dimmer reference, or a test light nearer to the middle of the gamut"
                             : gamut_remedy(setup, condition.reference, shown_on, adjusted)));
    }
}

}  // namespace

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
        drives_.emplace(LightOnSource(&use.spec->node(), use.source), drive_for(*this, use));
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
    LightContext context;
    context.find_light = [this](const std::string& name) -> const LightSpec* {
        const auto found = protocol_.lights.find(name);
        return found == protocol_.lights.end() ? nullptr : &found->second.spec;
    };
    context.known_names = [this] {
        std::vector<std::string> names;
        for (const auto& [name, light] : protocol_.lights)
            names.push_back(name);
        return names;
    };
    context.read_spectrum = [this](const std::string& path) {
        const auto found = protocol_.spectrum_files.find(path);
        if (found == protocol_.spectrum_files.end()) {
            throw InputError(fmt::format("spectrum file '{}' is not one of this protocol's", path),
                             "name it in the protocol file");
        }
        return parse_spectrum_table(found->second, path);
    };
    const DriveSolver& screen = solver(source);
    context.realise_xyz = [&screen](const Xyz& target) { return screen.spectrum(target); };
    context.realise_lms = [&screen](const Lms& target) { return screen.spectrum(target); };
    return resolve(spec, observer_, context);
}

LinearDrive Setup::light_on(const LightSpec& spec, int source) const {
    if (const auto kept = drives_.find({&spec.node(), source}); kept != drives_.end())
        return kept->second;
    return drive_for(*this, {&spec, "", "a light", source});
}

LinearDrive Setup::reference(int condition) const {
    return light_on(protocol_.conditions.at(static_cast<std::size_t>(condition)).reference,
                    source_of(reference_half()));
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
    return protocol_.blocks.at(
        static_cast<std::size_t>(protocol_.conditions.at(static_cast<std::size_t>(condition)).block));
}

LinearDrive Setup::ring(int condition, Half half) const {
    const auto& rings = protocol_.conditions.at(static_cast<std::size_t>(condition)).rings;
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
    problem.axes = protocol_.conditions.at(static_cast<std::size_t>(condition)).axes;
    if (const auto* adjustment = std::get_if<AdjustmentPlan>(&block_of(condition).plan))
        problem.time_limit_s = adjustment->time_limit_s;
    problem.predicted = shown_by.lms(shown);
    if (const auto& test = protocol_.conditions.at(static_cast<std::size_t>(condition)).test)
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
