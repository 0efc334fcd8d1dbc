#include "runner/commands/light/light_comparison_output.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/summaries/text_layout.h"
#include "base/errors.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/pooled_cardinal_contrast.h"
#include "colorimetry/rods.h"
#include "runner/commands/json_values.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

constexpr int kMostEyes = 1'000'000;
constexpr std::array<const char*, 3> kConeKeys = {"l", "m", "s"};
constexpr std::array<const char*, 3> kConeNames = {"L", "M", "S"};

// ---- the values ----
ComparedEye compared_eye(const ObserverParameters& parameters, const EyeDifference& difference) {
    const Observer observer(parameters);
    return {observer.description(),
            {!observer.has(Cone::l), !observer.has(Cone::m), !observer.has(Cone::s)},
            difference};
}

std::optional<SecondAgainstFirst> second_against_first(const EyeDifference& difference,
                                                       const Observer& observer) {
    double squares = 0.0;
    bool any = false;
    bool all = true;
    for (const std::optional<double>& contrast : difference.contrast) {
        any = any || contrast;
        all = all && contrast;
        squares += std::pow(contrast.value_or(0.0), 2);
    }
    if (!any || difference.first.vector().isZero(0.0))
        return std::nullopt;
    SecondAgainstFirst result;
    if (all)
        result.contrast_length = std::sqrt(squares);
    if (all && difference.first.vector().minCoeff() > 0.0)
        result.pooled_cardinal = pooled_cardinal_contrast(difference.second, difference.first, observer);
    return result;
}

ComparedRods compared_rods(const Light& first, const Light& second, Degrees field) {
    const double dimmer = std::min(luminance_cd_m2(first.spectrum), luminance_cd_m2(second.spectrum));
    ComparedRods rods;
    rods.excitations = {rod_excitation(first.spectrum), rod_excitation(second.spectrum)};
    rods.scotopic_luminance_cd_m2 = {scotopic_luminance_cd_m2(first.spectrum),
                                     scotopic_luminance_cd_m2(second.spectrum)};
    // An assumed spectrum can be negative where rods are most sensitive. Then nothing is known about the
    // rods.
    rods.is_known = rods.excitations[0] >= 0.0 && rods.excitations[1] >= 0.0;
    if (rods.is_known)
        rods.contrast = rod_contrast(second.spectrum, first.spectrum);
    rods.may_matter = rods_may_matter(field, dimmer);
    return rods;
}

// ---- as JSON ----
Json contrast_json(const EyeDifference& difference) {
    Json contrast;
    for (std::size_t cone = 0; cone < 3; ++cone)
        contrast[kConeKeys[cone]] = difference.contrast[cone];
    return contrast;
}

Json eye_json(const ComparedEye& eye) {
    Json seen_by = Json::array();
    for (std::size_t cone = 0; cone < 3; ++cone) {
        if (eye.difference.is_seen[cone])
            seen_by.push_back(kConeKeys[cone]);
    }
    return {{"observer", eye.observer},
            {"lacks", {{"l", eye.lacks[0]}, {"m", eye.lacks[1]}, {"s", eye.lacks[2]}}},
            {"cone_contrast", contrast_json(eye.difference)},
            {"seen_by", seen_by},
            {"alike", eye.difference.is_alike()}};
}

Json second_json(const LightComparison& comparison) {
    if (!comparison.second_against_first)
        return nullptr;
    const SecondAgainstFirst& second = *comparison.second_against_first;
    const auto& pooled = second.pooled_cardinal;
    return {
        {"cone_contrast", contrast_json(comparison.this_eye.difference)},
        {"cone_contrast_length", second.contrast_length},
        {"pooled_cardinal",
         pooled ? Json{{"luminance", pooled->luminance}, {"l_minus_m", pooled->l_minus_m}, {"s", pooled->s}}
                : Json(nullptr)}};
}

Json rods_json(const ComparedRods& rods) {
    return {{"excitations", rods.excitations},
            {"scotopic_luminance_cd_m2", rods.scotopic_luminance_cd_m2},
            {"contrast", rods.contrast},
            {"is_known", rods.is_known},
            {"may_matter", rods.may_matter},
            {"matter_beyond_field_deg", kRodFreeField.degrees()},
            {"matter_below_cd_m2", kRodsCountBelowCdM2}};
}

Json population_json(const ComparedPopulation& population) {
    const PopulationDifference& found = population.found;
    Json json = {{"eyes", found.eyes},
                 {"about", population.about},
                 {"seed", population.seed},
                 {"redrawn", found.redrawn},
                 {"would_see", {{"any", found.seen_by_any}}}};
    for (std::size_t cone = 0; cone < 3; ++cone) {
        json["would_see"][kConeKeys[cone]] = found.seen[cone];
        const std::optional<ValueSpread>& spread = found.contrast[cone];
        json["contrast"][kConeKeys[cone]] = spread ? Json{{"percentile_5", spread->percentile_5},
                                                          {"percentile_50", spread->percentile_50},
                                                          {"percentile_95", spread->percentile_95}}
                                                   : Json(nullptr);
    }
    return json;
}

// ---- as text ----
std::string percent_cell(const std::optional<double>& contrast, const char* if_none) {
    if (!contrast)
        return fmt::format("{:>11}", if_none);
    double percent = 100.0 * *contrast;
    if (std::abs(percent) < 0.0005)
        percent = 0.0;  // avoids "-0.000"
    return std::abs(percent) < 1e5 ? fmt::format("{:>+11.3f}", percent) : fmt::format("{:>+11.3g}", percent);
}

std::string row(const std::string& name, const ComparedEye& eye) {
    std::string cells;
    std::vector<std::string> seen_by;
    for (std::size_t cone = 0; cone < 3; ++cone) {
        cells += percent_cell(eye.difference.contrast[cone], eye.lacks[cone] ? "lacks" : "from dark");
        if (eye.difference.is_seen[cone])
            seen_by.emplace_back(kConeNames[cone]);
    }
    return fmt::format("  {:<28}{}   {}\n", name, cells,
                       seen_by.empty() ? "alike" : fmt::format("different by {}", fmt::join(seen_by, ", ")));
}

std::string rows(const LightComparison& comparison) {
    const ComparedEye& mean = comparison.mean_eye;
    const ComparedEye& eye = comparison.this_eye;
    const bool is_mean = eye.observer == mean.observer;
    std::string text = fmt::format("second against first, cone contrast in %\n  {:<28}{:>11}{:>11}{:>11}\n",
                                   "", "L", "M", "S");
    if (!is_mean)
        text += row("this eye", eye);
    text += row(is_mean ? "this eye, the mean one" : "mean eye, same field and age", mean);
    for (const auto& [type, other] : comparison.eye_types) {
        if (other.observer != mean.observer && other.observer != eye.observer)
            text += row(name_of(type), other);
    }
    return text;
}

std::string population_text(const ComparedPopulation& population) {
    const PopulationDifference& found = population.found;
    std::string text = fmt::format(
        "{} of {} colour-normal eyes would see a difference: {} by L, {} by M, {} by S (seed {})\n",
        found.seen_by_any, found.eyes, found.seen[0], found.seen[1], found.seen[2], population.seed);
    text +=
        fmt::format("  drawn about {}; impossible draws made again: {}\n", population.about, found.redrawn);
    text += "  contrast in %              5th       50th       95th percentile\n";
    for (std::size_t cone = 0; cone < 3; ++cone) {
        const std::optional<ValueSpread>& spread = found.contrast[cone];
        const auto cell = [&](double ValueSpread::*percentile) {
            return percent_cell(spread ? std::optional((*spread).*percentile) : std::nullopt, "from dark");
        };
        text += fmt::format("  {:<20}{}{}{}\n", kConeNames[cone], cell(&ValueSpread::percentile_5),
                            cell(&ValueSpread::percentile_50), cell(&ValueSpread::percentile_95));
    }
    return text;
}

std::string rods_text(const ComparedRods& rods) {
    if (!rods.is_known)
        return "rods (CIE 1951): unknown, since an assumed spectrum is negative where they are sensitive\n";
    const std::string contrast = percent_cell(rods.contrast, "from dark");
    return fmt::format("rods (CIE 1951): contrast in % {}; scotopic luminance {:.4g} and {:.4g} cd/m2\n",
                       contrast.substr(contrast.find_first_not_of(' ')), rods.scotopic_luminance_cd_m2[0],
                       rods.scotopic_luminance_cd_m2[1]) +
           wrapped(fmt::format(
               "An eye with rods alone goes by this. In other eyes rods {} here: they are taken to count "
               "in fields over {:g} deg and below about {:g} cd/m2 (common practice).",
               rods.may_matter ? "MAY MATTER" : "are left out", kRodFreeField.degrees(),
               kRodsCountBelowCdM2));
}

}  // namespace

void check_eyes(int eyes) {
    if (!(eyes >= 0 && eyes <= kMostEyes)) {
        throw InputError(Fault{"", 0, 0, "--eyes", fmt::format("{} eyes", eyes),
                               fmt::format("give 0 (no population) to {}", kMostEyes)});
    }
}

LightComparison compare_lights(const DescribedLight& first, const DescribedLight& second,
                               const std::optional<Xyz>& white, const ObserverParameters& eye,
                               const ComparisonSettings& settings) {
    check(settings.threshold);
    check_eyes(settings.eyes);
    const Spectrum& first_light = first.light.spectrum;
    const Spectrum& second_light = second.light.spectrum;
    const auto compared_for = [&](const ObserverParameters& parameters) {
        return compared_eye(parameters,
                            difference(Observer(parameters), first_light, second_light, settings.threshold));
    };
    const Observer observer(eye);
    LightComparison comparison;
    comparison.threshold = settings.threshold;
    comparison.this_eye =
        compared_eye(eye, difference(observer, first.light.lms, second.light.lms, settings.threshold));
    comparison.mean_eye = compared_for(mean_eye(eye));
    for (const EyeType type : kEyeTypes) {
        comparison.eye_types.emplace_back(
            type, naming_eye(type, [&] { return compared_for(as_type(eye, type, settings.pigments)); }));
    }
    comparison.second_against_first = second_against_first(comparison.this_eye.difference, observer);
    comparison.rods = compared_rods(first.light, second.light, eye.field);
    comparison.spectrum_is_assumed = first.light.spectrum_is_assumed || second.light.spectrum_is_assumed;
    if (settings.eyes > 0) {
        comparison.population = {difference_for_population(mean_eye(eye), settings.eyes, settings.seed,
                                                           first_light, second_light, settings.threshold),
                                 Observer(mean_eye(eye)).description(), settings.seed};
    }
    comparison.colour_difference = colour_difference(first, second, white);
    return comparison;
}

nlohmann::json to_json(const LightComparison& comparison) {
    const DifferenceThreshold& threshold = comparison.threshold;
    Json json = {{"second_against_first", second_json(comparison)},
                 {"threshold",
                  {{"l", threshold.l_m},
                   {"m", threshold.l_m},
                   {"s", threshold.s},
                   {"least_s_of_white", threshold.least_s_of_white}}},
                 {"this_eye", eye_json(comparison.this_eye)},
                 {"mean_eye", eye_json(comparison.mean_eye)},
                 {"spectrum_is_assumed", comparison.spectrum_is_assumed},
                 {"rods", rods_json(comparison.rods)},
                 {"population", nullptr},
                 {"colour_difference", nullptr}};
    for (const auto& [type, eye] : comparison.eye_types) {
        json["eye_types"].push_back(eye_json(eye));
        json["eye_types"].back()["type"] = word_of(type);
    }
    if (comparison.population)
        json["population"] = population_json(*comparison.population);
    if (const auto& colour = comparison.colour_difference)
        json["colour_difference"] = {{"cie1976", colour->cie1976}, {"ciede2000", colour->ciede2000}};
    return json;
}

std::string light_comparison_text(const LightComparison& comparison) {
    std::string text = rows(comparison);
    if (comparison.second_against_first && comparison.second_against_first->pooled_cardinal) {
        const PooledCardinalContrast& pooled = *comparison.second_against_first->pooled_cardinal;
        text += fmt::format("along pooled cardinal axes, in %: luminance {:+.4g}, L-M {:+.4g}, S {:+.4g}\n",
                            100.0 * pooled.luminance, 100.0 * pooled.l_minus_m, 100.0 * pooled.s);
    }
    if (const auto& colour = comparison.colour_difference)
        text += fmt::format("colour difference: {:.3f} by CIEDE2000, {:.3f} by CIE 1976 L*a*b*\n",
                            colour->ciede2000, colour->cie1976);
    const DifferenceThreshold& threshold = comparison.threshold;
    text += wrapped(fmt::format(
        "Alike: at most {:g} % for L and M and {:g} % for S (of at least {:g} % of white's S). These "
        "are stated limits, not a claim about a person: --threshold, --threshold-s.",
        100.0 * threshold.l_m, 100.0 * threshold.s, 100.0 * threshold.least_s_of_white));
    if (comparison.population)
        text += population_text(*comparison.population);
    text += rods_text(comparison.rods);
    if (comparison.spectrum_is_assumed)
        text += wrapped(
            "A light given by three numbers has an assumed spectrum. What rods and other eyes than the one "
            "it "
            "was made for see rests on that: with another spectrum of the same numbers they would see "
            "something "
            "else.");
    return text;
}

}  // namespace isoseam
