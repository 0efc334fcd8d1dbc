#pragma once
// This header holds what a light specification is made of: the tree that the parser builds and that resolve()
// walks.

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "colorimetry/colour_types.h"
#include "colorimetry/illuminant.h"
#include "colorimetry/light.h"

namespace isoseam {

// The amount of a light: "at 20 cd/m2" or "at 0.1 W/(sr m2)".
struct LightAmount {
    enum class Unit { luminance_cd_m2, radiance_w_sr_m2 };
    double value = 0.0;
    Unit unit = Unit::luminance_cd_m2;
};

struct MonochromaticLight {
    double nm = 0.0;
    LightAmount amount;
};
struct ChromaticityLight {
    XyY xyy;
};
struct ContrastLight {
    Eigen::Vector3d percent = Eigen::Vector3d::Zero();
    std::shared_ptr<const LightSpec::Node> background;
};
struct PooledCardinalLight {
    Eigen::Vector3d percent = Eigen::Vector3d::Zero();  // luminance, L-M, S
    std::shared_ptr<const LightSpec::Node> background;
    int column = 0;  // of the first contrast, from 1
};
struct FileLight {
    std::string path;
    std::optional<LightAmount> amount;
};
struct BlackbodyLight {
    double temperature_k = 0.0;
    LightAmount amount;
};
struct DaylightLight {
    double temperature_k = 0.0;
    LightAmount amount;
};
struct IlluminantLight {
    Illuminant illuminant = Illuminant::e;
    LightAmount amount;
};
struct EqualEnergyLight {
    LightAmount amount;
};
struct ExcitationLight {
    Lms lms;
};
struct MixtureLight {
    struct Term {
        double factor = 1.0;
        std::shared_ptr<const LightSpec::Node> light;
    };
    std::vector<Term> terms;
};
struct BlackLight {};
struct NamedLight {
    std::string name;
    int column = 0;  // in the text that named it, from 1
};

struct LightSpec::Node {
    std::variant<MonochromaticLight, ChromaticityLight, ContrastLight, PooledCardinalLight, FileLight,
                 BlackbodyLight, DaylightLight, IlluminantLight, EqualEnergyLight, ExcitationLight,
                 MixtureLight, BlackLight, NamedLight>
        light;
};

// One function object for all kinds of light, from one lambda each.
template <class... Visitors>
struct Overloaded : Visitors... {
    using Visitors::operator()...;
};
template <class... Visitors>
Overloaded(Visitors...) -> Overloaded<Visitors...>;

}  // namespace isoseam
