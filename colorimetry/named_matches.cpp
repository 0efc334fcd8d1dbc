#include "colorimetry/named_matches.h"

#include <fmt/format.h>

#include <Eigen/LU>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "colorimetry/colour_match.h"
#include "colorimetry/population.h"

namespace isoseam {
namespace {

// What a cone, or luminance, catches of the two lights of a mixture and of the test.
struct Catches {
    double first = 0.0;
    double second = 0.0;
    double test = 0.0;
};

// (1 - share) first + share second = amount test, once for each of two kinds of catch; none where the two
// kinds are so alike that nothing fixes it.
std::optional<MixtureMatch> equated(const Catches& a, const Catches& b) {
    Eigen::Matrix2d unknowns;  // share, amount
    unknowns << a.second - a.first, -a.test, b.second - b.first, -b.test;
    const double condition = condition_number(unknowns);
    if (!(condition <= kLargestMatchConditionNumber)) {
        return std::nullopt;
    }
    const Eigen::Vector2d solution = unknowns.fullPivLu().solve(Eigen::Vector2d{-a.first, -b.first});
    return MixtureMatch{.share = solution[0], .amount = solution[1], .condition_number = condition};
}

MatchLine line_of(const Catches& catches) {
    return {.slope = (catches.second - catches.first) / catches.test,
            .intercept = catches.first / catches.test};
}

Catches catches_of(const Eigen::Vector3d& weights, const Lms& first, const Lms& second, const Lms& test) {
    return {.first = weights.dot(first.vector()),
            .second = weights.dot(second.vector()),
            .test = weights.dot(test.vector())};
}

// The match in which nothing is left: the amounts of 480 and 580 nm are both free.
void find_full_match(const Lms& first, const Lms& second, const Lms& test_480, const Lms& test_580,
                     MorelandMatch& result) {
    Eigen::Matrix3d unknowns;  // share, amounts of 480 and of 580 nm
    unknowns << second.vector() - first.vector(), -test_480.vector(), -test_580.vector();
    const double condition = condition_number(unknowns);
    if (!(condition <= kLargestMatchConditionNumber)) {
        return;
    }
    const Eigen::Vector3d solution = unknowns.fullPivLu().solve(-first.vector());
    const double amount = solution[1] + solution[2];
    result.full = {.share = solution[0], .amount = amount, .condition_number = condition};
    result.full_desaturation = solution[2] / amount;
}

const Eigen::Vector3d kL = Eigen::Vector3d::UnitX();
const Eigen::Vector3d kM = Eigen::Vector3d::UnitY();
const Eigen::Vector3d kS = Eigen::Vector3d::UnitZ();

}  // namespace

Spectrum LuminanceUnit::monochromatic(double nm) const {
    const double efficiency = weights.dot(observer.energy_at_nm(nm).head<2>());
    ISOSEAM_CHECK(efficiency > 0.0, fmt::format("no luminance at {} nm", nm));
    return Spectrum::from_line(nm, 1.0 / efficiency);
}

LuminanceUnit standard_luminance_unit(Degrees field) {
    const Observer standard = Observer::cie170(field, Years::from_years(32.0));
    return {.observer = standard, .weights = standard.luminous_efficiency_weights()};
}

RayleighMatch rayleigh_match(const Observer& observer, const LuminanceUnit& unit) {
    const auto caught = [&](double nm) { return observer.excitations(unit.monochromatic(nm)); };
    const Lms first = caught(545.0);
    const Lms second = caught(670.0);
    const Lms test = caught(589.0);
    const Catches l = catches_of(kL, first, second, test);
    const Catches m = catches_of(kM, first, second, test);
    RayleighMatch result;
    if (observer.has(Cone::l) && observer.has(Cone::m)) {
        result.match = equated(l, m);
    }
    if (!result.match && (observer.has(Cone::l) || observer.has(Cone::m))) {
        result.line = line_of(observer.has(Cone::l) ? l : m);
    }
    return result;
}

MorelandMatch moreland_match(const Observer& observer, const LuminanceUnit& unit,
                             const MorelandSettings& settings) {
    if (!(settings.desaturation >= 0.0 && settings.desaturation < 1.0)) {
        throw InputError("desaturation",
                         fmt::format("{:g} % of the test in 580 nm", 100.0 * settings.desaturation),
                         "give 0 % to less than 100 %");
    }
    const auto caught = [&](double nm) { return observer.excitations(unit.monochromatic(nm)); };
    const Lms first = caught(436.0);
    const Lms second = caught(490.0);
    const Lms test_480 = caught(480.0);
    const Lms test_580 = caught(580.0);
    const Lms test = Lms::from_vector((1.0 - settings.desaturation) * test_480.vector() +
                                      settings.desaturation * test_580.vector());
    const Eigen::Vector2d weights =
        settings.luminance_weights.value_or(observer.luminous_efficiency_weights());
    const Catches luminance = catches_of({weights[0], weights[1], 0.0}, first, second, test);
    const Catches s = catches_of(kS, first, second, test);
    const bool has_luminance = observer.has(Cone::l) || observer.has(Cone::m);
    MorelandMatch result;
    if (has_luminance && observer.has(Cone::s)) {
        result.match = equated(luminance, s);
    }
    if (!result.match) {
        result.line = line_of(has_luminance ? luminance : s);
        return result;
    }
    const MixtureMatch& match = *result.match;
    const Eigen::Vector3d mixture = (1.0 - match.share) * first.vector() + match.share * second.vector();
    const Eigen::Vector3d contrast =
        mixture.cwiseQuotient(match.amount * test.vector()) - Eigen::Vector3d::Ones();
    if (observer.has(Cone::l)) {
        result.contrast_l = contrast[0];
    }
    if (observer.has(Cone::m)) {
        result.contrast_m = contrast[1];
    }
    if (observer.has(Cone::l) && observer.has(Cone::m)) {
        find_full_match(first, second, test_480, test_580, result);
    }
    return result;
}

MatchPopulation match_population(const ObserverParameters& mean, int eyes, std::uint64_t seed,
                                 const std::function<std::optional<MixtureMatch>(const Observer&)>& match) {
    ISOSEAM_CHECK_GE(eyes, 1);
    MatchPopulation result;
    result.eyes = eyes;
    std::vector<double> shares;
    std::vector<double> amounts;
    for (int eye = 0; eye < eyes; ++eye) {
        const SampledEye sampled = sampled_eye(mean, seed, static_cast<std::uint64_t>(eye));
        result.redrawn += sampled.redrawn;
        const std::optional<MixtureMatch> found = match(Observer(sampled.eye));
        if (!found) {
            ++result.without_match;
            continue;
        }
        result.not_physical += found->is_physical() ? 0 : 1;
        shares.push_back(found->share);
        amounts.push_back(found->amount);
    }
    if (!shares.empty()) {
        result.share = value_spread(std::move(shares));
        result.amount = value_spread(std::move(amounts));
    }
    return result;
}

}  // namespace isoseam
