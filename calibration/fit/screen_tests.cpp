#include "calibration/fit/screen_tests.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

using std::size_t;

// Levels dimmer than this share of the primary's full luminance are left out: noise would speak.
constexpr double kDimmestForChromaticity = 0.05;

std::string drive_words(const Eigen::VectorXd& drive) {
    return fmt::format("{:.3g}", fmt::join(drive.begin(), drive.end(), ", "));
}

std::string not_tested(const char* why) {
    return fmt::format("not tested: {}", why);
}

ScreenTest test_additivity(const EmissionFit& additive, const SortedReadings& readings,
                           const ResponseWeights& weights) {
    ScreenTest test{"additivity", std::nullopt, "%", kAdditivityLimitPercent, ""};
    const std::vector<AdditivityError> errors = additivity_errors(additive, readings, weights);
    if (errors.empty()) {
        test.words = not_tested("neither white nor any mixture of primaries was read");
        return test;
    }
    const auto worst = std::max_element(errors.begin(), errors.end(), [](const auto& a, const auto& b) {
        return a.cones.cwiseAbs().maxCoeff() < b.cones.cwiseAbs().maxCoeff();
    });
    Eigen::Index cone = 0;
    test.value = 100.0 * worst->cones.cwiseAbs().maxCoeff(&cone);
    test.words = fmt::format(
        "{}: at drive {} the {} cone's excitation departs from the sum of the primaries by {:+.2g} % of "
        "white's, "
        "the most of {} mixtures",
        test.passed() ? "the screen adds its primaries up" : "the screen does NOT add its primaries up",
        drive_words(worst->drive), "LMS"[cone], 100.0 * worst -> cones[cone], errors.size());
    return test;
}

std::optional<Eigen::Vector2d> uv_of(const Eigen::Vector3d& xyz) {
    if (!(xyz[1] > 0.0))
        return std::nullopt;
    const UniformChromaticity uvy = uniform_chromaticity_from_xyz(Xyz::from_vector(xyz));
    return Eigen::Vector2d(uvy.u_prime, uvy.v_prime);
}

ScreenTest test_chromaticity(const EmissionFit& additive, const SortedReadings& readings,
                             const ResponseWeights& weights) {
    ScreenTest test{"chromaticity_of_primaries", std::nullopt, "u'v'", kChromaticityLimit, ""};
    std::string where;
    for (size_t i = 0; i < readings.ramps.size(); ++i) {
        const Eigen::Vector3d full = weights.xyz * (readings.ramps[i].back().light - additive.black);
        const std::optional<Eigen::Vector2d> full_uv = uv_of(full);
        for (size_t k = 0; full_uv && k + 1 < readings.ramps[i].size(); ++k) {
            const ColourReadings& level = readings.ramps[i][k];
            const Eigen::Vector3d xyz = weights.xyz * (level.light - additive.black);
            const std::optional<Eigen::Vector2d> uv = uv_of(xyz);
            if (!uv || !(xyz[1] >= kDimmestForChromaticity * full[1]))
                continue;
            const double distance = (*uv - *full_uv).norm();
            if (!test.value || distance > *test.value) {
                test.value = distance;
                where = fmt::format("'{}' at drive {:.3g}", readings.primaries[i], level.drive.maxCoeff());
            }
        }
    }
    test.words = !test.value
                     ? not_tested("no primary has two levels bright enough")
                     : fmt::format("{}: the farthest from its chromaticity at full drive is {}, by {:.2g}",
                                   test.passed() ? "the primaries keep their chromaticity"
                                                 : "the primaries change their chromaticity with drive",
                                   where, *test.value);
    return test;
}

double luminance_of(const Eigen::VectorXd& light, const EmissionFit& additive,
                    const ResponseWeights& weights) {
    return weights.xyz.row(1).dot(light - additive.black);
}

// The largest departure of white elsewhere from white at the usual patch, in per cent, and its place.
struct Departure {
    double percent = 0.0;
    PatchPlace place;
};
std::optional<Departure> largest_departure(const std::vector<WhiteElsewhere>& whites,
                                           const EmissionFit& additive, const SortedReadings& readings,
                                           const ResponseWeights& weights) {
    const ColourReadings* usual = readings.white();
    if (whites.empty() || usual == nullptr)
        return std::nullopt;
    const double usual_luminance = luminance_of(usual->light, additive, weights);
    Departure largest;
    for (const WhiteElsewhere& white : whites) {
        const double percent = 100.0 * (luminance_of(white.light, additive, weights) / usual_luminance - 1.0);
        if (std::abs(percent) >= std::abs(largest.percent))
            largest = {percent, white.place};
    }
    return largest;
}

ScreenTest test_dimming(const EmissionFit& additive, const SortedReadings& readings,
                        const ResponseWeights& weights) {
    ScreenTest test{"dimming_by_area", std::nullopt, "%", kDimmingLimitPercent,
                    not_tested("white was not read on patches of other sizes")};
    if (const auto largest = largest_departure(readings.sizes, additive, readings, weights)) {
        const double usual_area = readings.patch.width * readings.patch.height;
        test.value = std::abs(largest->percent);
        test.words = fmt::format(
            "{}: white on {:.3g} % of the screen has {:+.2g} % against white on {:.3g} %",
            test.passed()
                ? "light hardly depends on the lit area"
                : "light depends on the lit area: this calibration holds for patches of its own size only",
            100.0 * largest->place.width * largest->place.height, largest->percent, 100.0 * usual_area);
    }
    return test;
}

ScreenTest test_uniformity(const EmissionFit& additive, const SortedReadings& readings,
                           const ResponseWeights& weights) {
    ScreenTest test{"uniformity", std::nullopt, "%", kUniformityLimitPercent,
                    not_tested("white was not read at other places")};
    if (const auto largest = largest_departure(readings.places, additive, readings, weights)) {
        test.value = std::abs(largest->percent);
        test.words = fmt::format(
            "{}: white at ({:.2g}, {:.2g}) of width and height has {:+.2g} % against the usual "
            "place",
            test.passed() ? "the screen is even enough"
                          : "the screen is uneven: show stimuli where it was measured",
            largest->place.x, largest->place.y, largest->percent);
    }
    return test;
}

ScreenTest test_drift(const SortedReadings& readings) {
    ScreenTest test{"drift", std::nullopt, "%", kDriftLimitPercent,
                    not_tested("white was not read twice at the usual patch")};
    const Drift& drift = readings.drift;
    if (drift.whites >= 2) {
        test.value = 100.0 * drift.range;
        test.words = fmt::format("{}: {} readings of white lie within {:.2g} %",
                                 test.passed() ? "white kept its light" : "white drifted while measuring",
                                 drift.whites, 100.0 * drift.range);
        if (drift.per_hour != 0.0)
            test.words += fmt::format(", {:+.2g} % per hour", 100.0 * drift.per_hour);
        if (drift.followed)
            test.words += "; the drift was taken out of all readings";
    }
    return test;
}

ScreenTest test_black_drift(const EmissionFit& additive, const SortedReadings& readings) {
    ScreenTest test{"black_drift", std::nullopt, "%", kBlackDriftLimitPercent,
                    not_tested("black was read only once")};
    if (readings.dark.readings >= 2) {
        test.value = 100.0 * readings.dark.drift / additive.primaries.rowwise().sum().mean();
        test.words = fmt::format("{}: {} readings of black depart from their mean by up to {:.2g} % of white",
                                 test.passed() ? "black kept its value" : "black drifted while measuring",
                                 readings.dark.readings, *test.value);
    }
    return test;
}

}  // namespace

std::vector<ScreenTest> screen_tests(const EmissionFit& additive, const SortedReadings& readings,
                                     const ResponseWeights& weights) {
    return {test_additivity(additive, readings, weights),
            test_chromaticity(additive, readings, weights),
            test_dimming(additive, readings, weights),
            test_uniformity(additive, readings, weights),
            test_drift(readings),
            test_black_drift(additive, readings)};
}

}  // namespace isoseam
