#include "protocols/setup/light_use.h"

#include <fmt/format.h>

#include <utility>

#include "protocols/setup/gamut_advice.h"

namespace isoseam {

ShownLight shown_light(const Setup& setup, const LightUse& use) {
    const DriveSolver& solver = setup.solver(use.source);
    const Lms lms = setup.light(use.spec, use.source).lms;
    if (lms.vector().isZero(0.0))
        return {{Eigen::VectorXd::Zero(solver.display().primary_count())}, std::nullopt};
    DriveSolution solution = solver.solve(lms);
    if (solution.in_gamut)
        return {std::move(solution.linear), solution.gamut_margin};
    const std::string key = description_key(setup.protocol(), use.spec, use.key);
    const std::string who = key == use.key ? use.part : fmt::format("'{}' ({})", use.spec.text(), use.part);
    throw InputError(setup.protocol().fault_at(
        key, fmt::format("{} is {}", who, gamut_miss(solution, solver, setup.source_name(use.source))),
        gamut_remedy(setup, use.spec, use.source, use.source)));
}

std::optional<ShownLight> shown_or_noted(const Setup& setup, const LightUse& use, FaultList& faults) {
    try {
        return shown_light(setup, use);
    } catch (const InputError& error) {
        const std::string key = description_key(setup.protocol(), use.spec, use.key);
        for (const Fault& fault : error.faults()) {
            faults.add(fault.line > 0 ? fault
                                      : setup.protocol().fault_at(
                                            key, fmt::format("{}: {}", use.part, fault.found), fault.remedy));
        }
        return std::nullopt;
    }
}

LightContext descriptions_of(const Protocol& protocol) {
    LightContext context;
    context.find_light = [&protocol](const std::string& name) -> const LightSpec* {
        const auto found = protocol.lights.find(name);
        return found == protocol.lights.end() ? nullptr : &found->second.spec;
    };
    context.known_names = [&protocol] {
        std::vector<std::string> names;
        for (const auto& [name, light] : protocol.lights)
            names.push_back(name);
        return names;
    };
    context.read_spectrum = [&protocol](const std::string& path) {
        const auto found = protocol.spectrum_files.find(path);
        if (found == protocol.spectrum_files.end()) {
            throw InputError(fmt::format("spectrum file '{}' is not one of this protocol's", path),
                             "name it in the protocol file");
        }
        return parse_spectrum_table(found->second, path);
    };
    return context;
}

}  // namespace isoseam
