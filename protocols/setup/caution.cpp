#include "protocols/setup/caution.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace isoseam {
namespace {

void note_names(const LightSpec& spec, const Protocol& protocol, std::set<std::string>& used) {
    for (const std::string& name : spec.names_used()) {
        if (used.insert(name).second)
            note_names(protocol.lights.at(name).spec, protocol, used);
    }
}

}  // namespace

void note_unmeasured(const Setup& setup, const std::string& invented, const std::string& estimated,
                     std::vector<Caution>& cautions) {
    for (int i = 0; i < setup.source_count(); ++i) {
        const Calibration& calibration = setup.solver(i).display().calibration();
        const auto note = [&](const char* what, const std::string& words) {
            cautions.push_back({CautionKind::calibration, fmt::format("The calibration '{}' is {}: {}",
                                                                      calibration.name, what, words)});
        };
        if (calibration.invented)
            note("invented demo data", invented);
        if (calibration.estimated)
            note("estimated", estimated);
    }
}

void note_field_of_observer(const Protocol& protocol, const std::string& why,
                            std::vector<Caution>& cautions) {
    constexpr double kSameAngleDeg = 1e-6;  // Two angles that differ by less count as the same.
    const double size_deg = protocol.field.size.degrees();
    const double observer_deg = protocol.observer.field.degrees();
    const double fitting_deg = std::clamp(size_deg, 1.0, 10.0);
    if (std::abs(observer_deg - fitting_deg) <= kSameAngleDeg)
        return;
    cautions.push_back({CautionKind::observer_field,
                        fmt::format("The observer's field is {:.4g} deg but the field is {:.4g} deg{}: an "
                                    "observer of {:.4g} deg would fit.",
                                    observer_deg, size_deg, why, fitting_deg)});
}

void note_unused_lights(const Protocol& protocol, const std::vector<LightSpec>& further,
                        std::vector<Caution>& cautions) {
    std::set<std::string> used;
    note_names(protocol.surround, protocol, used);
    for (const std::optional<LightSpec>* light : {&protocol.ring, &protocol.fixation, &protocol.adaptation}) {
        if (*light)
            note_names(**light, protocol, used);
    }
    for (const LightSpec& light : further)
        note_names(light, protocol, used);
    for (const auto& [name, light] : protocol.lights) {
        if (!used.contains(name))
            cautions.push_back({CautionKind::unused_light,
                                fmt::format("The light '{}' (line {}) is never used.", name, light.line)});
    }
}

std::vector<std::string> caution_texts(const std::vector<Caution>& cautions) {
    std::vector<std::string> texts;
    for (const bool last_word : {false, true}) {
        for (const Caution& caution : cautions) {
            if ((caution.kind == CautionKind::diagnosis) == last_word)
                texts.push_back(caution.text);
        }
    }
    return texts;
}

}  // namespace isoseam
