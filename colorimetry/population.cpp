#include "colorimetry/population.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <iterator>

#include "base/errors.h"
#include "base/random.h"

namespace isoseam {
namespace {

constexpr double kSpread[] = {
#include "individual_variability.inc"
};
constexpr double kCategorical[] = {
#include "categorical_observers.inc"
};
constexpr int kCategoricalColumns = 10;  // number, age, eight deviations
static_assert(std::size(kCategorical) == kCategoricalColumns * kCategoricalObservers);

// The eight deviations in the order of the tables and of the draws.
struct Parameter {
    double ObserverParameters::*deviation;
    double EyeSpread::*standard_deviation;
    double least;  // not allowed itself
    double largest;
};
constexpr std::array<Parameter, 8> kParameters{{
    {&ObserverParameters::lens_percent, &EyeSpread::lens_percent, -100.0, 1000.0},
    {&ObserverParameters::macular_percent, &EyeSpread::macular_percent, -100.0, 1000.0},
    {&ObserverParameters::density_l_percent, &EyeSpread::density_l_percent, -100.0, 1000.0},
    {&ObserverParameters::density_m_percent, &EyeSpread::density_m_percent, -100.0, 1000.0},
    {&ObserverParameters::density_s_percent, &EyeSpread::density_s_percent, -100.0, 1000.0},
    {&ObserverParameters::shift_l_nm, &EyeSpread::shift_l_nm, -30.0, 30.0},
    {&ObserverParameters::shift_m_nm, &EyeSpread::shift_m_nm, -30.0, 30.0},
    {&ObserverParameters::shift_s_nm, &EyeSpread::shift_s_nm, -30.0, 30.0},
}};

// Draws kept apart for one parameter of one eye.
constexpr std::uint64_t kDrawsEach = 64;

}  // namespace

const EyeSpread& colour_normal_spread() {
    static const EyeSpread spread = [] {
        EyeSpread made;
        for (std::size_t i = 0; i < kParameters.size(); ++i) {
            made.*kParameters[i].standard_deviation = kSpread[i];
        }
        return made;
    }();
    return spread;
}

SampledEye sampled_eye(const ObserverParameters& nominal, std::uint64_t seed, std::uint64_t index,
                       const EyeSpread& spread) {
    const RandomStream stream{seed, kStreamSimulatedEye};
    SampledEye sampled{.eye = nominal};
    for (std::size_t which = 0; which < kParameters.size(); ++which) {
        const Parameter& parameter = kParameters[which];
        const double standard_deviation = spread.*parameter.standard_deviation;
        ISOSEAM_CHECK(standard_deviation >= 0.0 && std::isfinite(standard_deviation));
        const std::uint64_t first = (index * kParameters.size() + which) * kDrawsEach;
        std::uint64_t draw = 0;
        double value = 0.0;
        do {
            if (draw == kDrawsEach) {
                throw InputError("spread", fmt::format("{} draws in a row gave eyes that cannot be", draw),
                                 "choose a smaller spread, or a nominal eye nearer to the mean");
            }
            value = nominal.*parameter.deviation + standard_deviation * stream.normal(first + draw);
            ++draw;
        } while (!(value > parameter.least && value <= parameter.largest));
        sampled.redrawn += static_cast<int>(draw) - 1;
        sampled.eye.*parameter.deviation = value;
    }
    return sampled;
}

ObserverParameters categorical_observer(int number, Degrees field) {
    if (number < 1 || number > kCategoricalObservers) {
        throw InputError("categorical", fmt::format("there is no categorical observer {}", number),
                         fmt::format("choose 1 to {}", kCategoricalObservers));
    }
    const double* const row = kCategorical + (number - 1) * kCategoricalColumns;
    ISOSEAM_CHECK(row[0] == number, "the rows of the table are in order");
    ObserverParameters observer;
    observer.field = field;
    observer.age = Years::from_years(row[1]);
    for (std::size_t i = 0; i < kParameters.size(); ++i) {
        observer.*kParameters[i].deviation = row[2 + i];
    }
    return observer;
}

}  // namespace isoseam
