#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "colorimetry/light.h"
#include "colorimetry/light_node.h"

namespace isoseam {
namespace {

std::string text_of(const LightSpec::Node& node);

std::string text_of(const LightAmount& amount) {
    const bool by_luminance = amount.unit == LightAmount::Unit::luminance_cd_m2;
    return fmt::format(" at {} {}", amount.value, by_luminance ? "cd/m2" : "W/(sr m2)");
}

// Puts the text in brackets unless it is one word.
std::string operand_text(const LightSpec::Node& node) {
    const bool one_word =
        std::holds_alternative<NamedLight>(node.light) || std::holds_alternative<BlackLight>(node.light);
    return one_word ? text_of(node) : "(" + text_of(node) + ")";
}

std::string path_text(const std::string& path) {
    return path.find_first_of(" \t\r\n()") == std::string::npos ? path : "\"" + path + "\"";
}

std::string contrast_text(const ContrastLight& light) {
    return fmt::format("contrast L {} % M {} % S {} % from {}", light.percent[0], light.percent[1],
                       light.percent[2], operand_text(*light.background));
}

std::string pooled_cardinal_text(const PooledCardinalLight& light) {
    return fmt::format("pooled-cardinal luminance {} % L-M {} % S {} % from {}", light.percent[0],
                       light.percent[1], light.percent[2], operand_text(*light.background));
}

std::string mixture_text(const MixtureLight& light) {
    std::string text = "mixture ";
    for (const MixtureLight::Term& term : light.terms) {
        text += fmt::format("{}{} {}", &term == &light.terms.front() ? "" : " + ", term.factor,
                            operand_text(*term.light));
    }
    return text;
}

std::string text_of(const LightSpec::Node& node) {
    return std::visit(
        Overloaded{
            [](const MonochromaticLight& light) {
                return fmt::format("monochromatic {} nm{}", light.nm, text_of(light.amount));
            },
            [](const ChromaticityLight& light) {
                const auto& [chromaticity, luminance] = light.xyy;
                return fmt::format("xyY {} {} at {} cd/m2", chromaticity.x, chromaticity.y, luminance);
            },
            [](const ContrastLight& light) { return contrast_text(light); },
            [](const PooledCardinalLight& light) { return pooled_cardinal_text(light); },
            [](const FileLight& light) {
                return "spectrum " + path_text(light.path) + (light.amount ? text_of(*light.amount) : "");
            },
            [](const BlackbodyLight& light) {
                return fmt::format("blackbody {} K{}", light.temperature_k, text_of(light.amount));
            },
            [](const DaylightLight& light) {
                return fmt::format("daylight {} K{}", light.temperature_k, text_of(light.amount));
            },
            [](const IlluminantLight& light) {
                return fmt::format("illuminant {}{}", name_of(light.illuminant), text_of(light.amount));
            },
            [](const EqualEnergyLight& light) { return "equal-energy" + text_of(light.amount); },
            [](const ExcitationLight& light) {
                return fmt::format("lms {} {} {}", light.lms.l, light.lms.m, light.lms.s);
            },
            [](const MixtureLight& light) { return mixture_text(light); },
            [](const BlackLight&) { return std::string("black"); },
            [](const NamedLight& light) { return light.name; },
        },
        node.light);
}

// Calls `visit` for this light and for all lights inside it, in the order of the text.
void walk(const LightSpec::Node& node, const auto& visit) {
    visit(node);
    if (const auto* contrast = std::get_if<ContrastLight>(&node.light)) {
        walk(*contrast->background, visit);
    } else if (const auto* cardinal = std::get_if<PooledCardinalLight>(&node.light)) {
        walk(*cardinal->background, visit);
    } else if (const auto* mixture = std::get_if<MixtureLight>(&node.light)) {
        for (const MixtureLight::Term& term : mixture->terms) {
            walk(*term.light, visit);
        }
    }
}

void add_once(std::vector<std::string>& words, const std::string& word) {
    if (std::find(words.begin(), words.end(), word) == words.end()) {
        words.push_back(word);
    }
}

}  // namespace

std::string LightSpec::text() const {
    return text_of(*node_);
}

std::vector<std::string> LightSpec::names_used() const {
    std::vector<std::string> names;
    walk(*node_, [&names](const Node& inner) {
        if (const auto* named = std::get_if<NamedLight>(&inner.light)) {
            add_once(names, named->name);
        }
    });
    return names;
}

std::vector<std::string> LightSpec::files_used() const {
    std::vector<std::string> paths;
    walk(*node_, [&paths](const Node& inner) {
        if (const auto* file = std::get_if<FileLight>(&inner.light)) {
            add_once(paths, file->path);
        }
    });
    return paths;
}

}  // namespace isoseam
