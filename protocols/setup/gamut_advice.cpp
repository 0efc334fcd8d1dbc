#include "protocols/setup/gamut_advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

// These factors are far beyond what any screen could show: dimmer than its black, and brighter than its
// white.
constexpr double kLeastFactor = 1e-6;
constexpr double kMostFactor = 1e6;
// Each step leaves two thirds of the interval ln(1e12). So many steps take it below the rounding of a double.
constexpr int kSearchSteps = 120;

DriveSolution solution_at(const DriveSolver& solver, const Lms& light, double factor) {
    return solver.solve(Lms::from_vector(factor * light.vector()));
}

// The gamut margin is concave in the factor, so it has one summit.
double log_factor_of_best_margin(const DriveSolver& solver, const Lms& light) {
    double low = std::log(kLeastFactor);
    double high = std::log(kMostFactor);
    for (int i = 0; i < kSearchSteps; ++i) {
        const double a = low + (high - low) / 3.0;
        const double b = high - (high - low) / 3.0;
        const double margin_a = solution_at(solver, light, std::exp(a)).gamut_margin;
        const double margin_b = solution_at(solver, light, std::exp(b)).gamut_margin;
        (margin_a < margin_b ? low : high) = margin_a < margin_b ? a : b;
    }
    return 0.5 * (low + high);
}

double log_factor_of_border(const DriveSolver& solver, const Lms& light, double inside, double outside) {
    for (int i = 0; i < kSearchSteps; ++i) {
        const double middle = 0.5 * (inside + outside);
        (solution_at(solver, light, std::exp(middle)).in_gamut ? inside : outside) = middle;
    }
    return inside;
}

// Rounds to three significant digits, towards the inside of the range.
double rounded_inwards(double value, bool downwards) {
    const double unit = std::pow(10.0, std::floor(std::log10(value)) - 2.0);
    return (downwards ? std::floor(value / unit) : std::ceil(value / unit)) * unit;
}

std::string luminance_remedy(const DriveSolver& solver, const Light& light) {
    const std::optional<FactorRange> range = fitting_factors(solver, light.lms);
    if (!range) {
        return "no luminance fits, since the light is more saturated than this screen's primaries allow: "
               "choose one "
               "nearer to the screen's white, or a mixture with such a light";
    }
    const double luminance = luminance_cd_m2(light.spectrum);
    const double highest = rounded_inwards(range->highest * luminance, true);
    const double lowest = rounded_inwards(range->lowest * luminance, false);
    if (range->highest < 1.0)
        return fmt::format("lower its luminance: up to {:.4g} cd/m2 would fit (it has {:.4g})", highest,
                           luminance);
    return fmt::format(
        "raise its luminance above the screen's black: {:.4g} cd/m2 or more would fit (it has {:.4g})",
        lowest, luminance);
}

// The light that a contrast is measured from, if the light is described by one.
std::optional<LightSpec> contrast_background(const LightSpec& spec) {
    const std::string text = spec.text();
    const std::size_t from = text.find(" from ");
    if (text.rfind("contrast ", 0) != 0 || from == std::string::npos)
        return std::nullopt;
    return parse_light(text.substr(from + 6));
}

const LightSpec& described(const Protocol& protocol, const LightSpec& spec) {
    const auto named = protocol.lights.find(spec.text());
    return named == protocol.lights.end() ? spec : described(protocol, named->second.spec);
}

}  // namespace

std::optional<FactorRange> fitting_factors(const DriveSolver& solver, const Lms& light) {
    const double best = log_factor_of_best_margin(solver, light);
    if (!solution_at(solver, light, std::exp(best)).in_gamut)
        return std::nullopt;
    return FactorRange{std::exp(log_factor_of_border(solver, light, best, std::log(kLeastFactor))),
                       std::exp(log_factor_of_border(solver, light, best, std::log(kMostFactor)))};
}

std::string gamut_miss(const DriveSolution& solution, const DriveSolver& solver, const std::string& source) {
    std::string text = fmt::format("out of the gamut of source '{}' by {:.3g} % of full light", source,
                                   -100.0 * solution.gamut_margin);
    const Eigen::ArrayXd x = solution.linear.fractions.array();
    if (x.size() != 3)
        return text;
    Eigen::Index worst = 0;
    x.min(1.0 - x).minCoeff(&worst);
    const std::string& name = solver.display().calibration().primaries[static_cast<std::size_t>(worst)].name;
    return text + fmt::format(" ({} would need {:.3g} %)", name, 100.0 * x[worst]);
}

std::string gamut_remedy(const Setup& setup, const LightSpec& spec, int shown_on, int source) {
    const DriveSolver& solver = setup.solver(source);
    const Light light = setup.light(spec, shown_on);
    const auto background_spec = contrast_background(described(setup.protocol(), spec));
    if (!background_spec)
        return luminance_remedy(solver, light);
    const Lms background = setup.light(*background_spec, shown_on).lms;
    if (!solver.solve(background).in_gamut)
        return fmt::format("the light that it is a contrast from, '{}', is out of gamut too: mend that first",
                           background_spec->text());
    const double share = reach_in_gamut(solver, background, light.lms.vector() - background.vector());
    return fmt::format("lower the contrast: up to {:.3g} times this one would fit",
                       rounded_inwards(share, true));
}

std::string description_key(const Protocol& protocol, const LightSpec& spec, const std::string& key_of_use) {
    const std::string name = spec.text();
    const auto named = protocol.lights.find(name);
    if (named == protocol.lights.end())
        return key_of_use;
    return description_key(protocol, named->second.spec, "lights." + name);
}

}  // namespace isoseam
