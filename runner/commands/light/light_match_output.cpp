#include "runner/commands/light/light_match_output.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "analysis/summaries/text_layout.h"
#include "runner/commands/json_values.h"
#include "runner/commands/light/light_comparison_output.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

constexpr const char* kNoDiagnosis =
    "No match says what an eye has: screening and diagnosis of colour-vision deficiency belong to a "
    "qualified "
    "person with an approved instrument.";

Json match_json(const MixtureMatch& match) {
    return {{"share", match.share},
            {"amount", match.amount},
            {"is_physical", match.is_physical()},
            {"condition_number", match.condition_number}};
}

Json line_json(const MatchLine& line) {
    return {{"slope", line.slope},
            {"intercept", line.intercept},
            {"amount_at_share_0", line.amount_at(0.0)},
            {"amount_at_share_1", line.amount_at(1.0)}};
}

bool is_rayleigh(const NamedMatchSettings& settings) {
    return settings.match == "rayleigh";
}

// ---- the values ----
NamedMatchOfEye match_of(const ObserverParameters& parameters, const LuminanceUnit& unit,
                         const NamedMatchSettings& settings) {
    const Observer observer(parameters);
    const EyeType type = type_of(parameters);
    if (is_rayleigh(settings)) {
        const RayleighMatch found = rayleigh_match(observer, unit);
        return {observer.description(), type, found.match, found.line, {}};
    }
    const MorelandMatch found = moreland_match(observer, unit, {.desaturation = settings.desaturation});
    return {observer.description(), type, found.match, found.line, found};
}

NamedMatchPopulation population_of(const ObserverParameters& mean, const LuminanceUnit& unit,
                                   const NamedMatchSettings& settings) {
    const auto match = [&](const Observer& observer) {
        return is_rayleigh(settings)
                   ? rayleigh_match(observer, unit).match
                   : moreland_match(observer, unit, {.desaturation = settings.desaturation}).match;
    };
    return {match_population(mean, settings.eyes, settings.seed, match), Observer(mean).description()};
}

// ---- as JSON ----
Json eye_json(const NamedMatchOfEye& eye) {
    Json json = {{"observer", eye.observer},
                 {"type", word_of(eye.type)},
                 {"match", or_null(eye.match, match_json)},
                 {"line", or_null(eye.line, line_json)}};
    if (const auto& moreland = eye.moreland) {
        json["left_over"] = {{"l", moreland->contrast_l}, {"m", moreland->contrast_m}};
        json["full_match"] = or_null(moreland->full, match_json);
        if (moreland->full)
            json["full_match"]["desaturation"] = *moreland->full_desaturation;
    }
    return json;
}

Json spread_json(const ValueSpread& spread) {
    return {{"mean", spread.mean},
            {"standard_deviation", spread.standard_deviation},
            {"percentile_5", spread.percentile_5},
            {"percentile_50", spread.percentile_50},
            {"percentile_95", spread.percentile_95}};
}

Json population_json(const NamedMatchPopulation& population, std::uint64_t seed) {
    const MatchPopulation& found = population.found;
    return {{"eyes", found.eyes},
            {"about", population.about},
            {"seed", seed},
            {"redrawn", found.redrawn},
            {"without_match", found.without_match},
            {"not_physical", found.not_physical},
            {"share", or_null(found.share, spread_json)},
            {"amount", or_null(found.amount, spread_json)}};
}

// ---- as text ----
std::string setting_words(const NamedMatchOfEye& eye) {
    if (const auto& match = eye.match) {
        return fmt::format("share {:.4f}, amount {:.4f}{}", match->share, match->amount,
                           match->is_physical() ? "" : "   NO match with real lights: share outside 0 to 1");
    }
    if (const auto& line = eye.line) {
        return fmt::format("each share; amount = {:.4f} {} {:.4f} share, from {:.4f} at 0 to {:.4f} at 1",
                           line->intercept, line->slope < -0.00005 ? '-' : '+', std::abs(line->slope),
                           line->amount_at(0.0), line->amount_at(1.0));
    }
    return "none: S cones catch next to nothing of these lights";
}

std::string full_match_text(const NamedMatchOfEye& eye) {
    if (!eye.moreland || !eye.match)
        return "";
    const MorelandMatch& moreland = *eye.moreland;
    std::string left_over;
    for (const auto& [contrast, name] : {std::pair{&moreland.contrast_l, "L"}, {&moreland.contrast_m, "M"}}) {
        if (*contrast)
            left_over += fmt::format(" {} {:+.3f} %", name, 100.0 * **contrast);
    }
    std::string text = fmt::format("  what this leaves between the halves:{}\n", left_over);
    if (const auto& full = moreland.full) {
        text += fmt::format("  nothing is left with {:.2f} % of 580 nm: share {:.4f}, amount {:.4f}{}\n",
                            100.0 * *moreland.full_desaturation, full->share, full->amount,
                            full->is_physical() ? "" : "   (not with real lights: share outside 0 to 1)");
    }
    return text;
}

std::string spread_text(const char* name, const ValueSpread& spread) {
    return fmt::format("  {:<7} mean {:.4f}, SD {:.4f}; 5th, 50th, 95th percentile {:.4f}, {:.4f}, {:.4f}\n",
                       name, spread.mean, spread.standard_deviation, spread.percentile_5,
                       spread.percentile_50, spread.percentile_95);
}

std::string population_text(const NamedMatchPopulation& population, std::uint64_t seed) {
    const MatchPopulation& found = population.found;
    std::string text =
        fmt::format("{} eyes (seed {}), drawn about\n  {}\n", found.eyes, seed, population.about);
    if (!found.share)
        return text + "  none has a single match\n";
    text += spread_text("share", *found.share) + spread_text("amount", found.amount.value());
    return text + fmt::format(
                      "  {} without a single match, {} with a share outside 0 to 1; impossible draws made "
                      "again: {}\n",
                      found.without_match, found.not_physical, found.redrawn);
}

std::string heading(const NamedMatchSettings& settings) {
    if (is_rayleigh(settings))
        return "Rayleigh match: 545 and 670 nm in one half, 589 nm in the other, solved for L and M.\n"
               "share: of 670 nm in the mixture; amount: of 589 nm";
    return fmt::format(
        "Moreland match: 436 and 490 nm in one half, 480 with {:.3g} % of 580 nm in the other, solved "
        "for S and luminance.\nshare: of 490 nm in the mixture; amount: of the other half",
        100.0 * settings.desaturation);
}

}  // namespace

NamedMatches named_matches(const ObserverParameters& eye, const NamedMatchSettings& settings) {
    check_eyes(settings.eyes);
    const LuminanceUnit unit = standard_luminance_unit(eye.field);
    NamedMatches matches{settings, unit.observer.description(), match_of(eye, unit, settings), {}, {}};
    for (const EyeType type : kEyeTypes)
        matches.eye_types.push_back(naming_eye(
            type, [&] { return match_of(as_type(eye, type, settings.pigments), unit, settings); }));
    if (settings.eyes > 0)
        matches.population = population_of(mean_eye_of_type(eye), unit, settings);
    return matches;
}

nlohmann::json to_json(const NamedMatches& matches) {
    const NamedMatchSettings& settings = matches.settings;
    Json json = {{"match", settings.match},
                 {"luminance_unit", matches.luminance_unit},
                 {"this_eye", eye_json(matches.this_eye)},
                 {"eye_types", json_list(matches.eye_types, eye_json)},
                 {"population", nullptr},
                 {"note", kNoDiagnosis}};
    if (is_rayleigh(settings)) {
        json["mixture_nm"] = {545, 670};
        json["test_nm"] = {589};
    } else {
        json["mixture_nm"] = {436, 490};
        json["test_nm"] = {480, 580};
        json["desaturation"] = settings.desaturation;
    }
    if (matches.population)
        json["population"] = population_json(*matches.population, settings.seed);
    return json;
}

std::string named_matches_text(const NamedMatches& matches) {
    const NamedMatchOfEye& eye = matches.this_eye;
    std::string text = heading(matches.settings);
    text += fmt::format("; both by luminance (V_F) for\n  {}\n", matches.luminance_unit);
    text += fmt::format("{}\n  {}\n", eye.observer, setting_words(eye)) + full_match_text(eye);
    text += "the same eye as\n";
    for (const NamedMatchOfEye& other : matches.eye_types) {
        if (other.observer != eye.observer)
            text += fmt::format("  {:<27} {}\n", name_of(other.type), setting_words(other));
    }
    if (matches.population)
        text += population_text(*matches.population, matches.settings.seed);
    return text + wrapped(kNoDiagnosis);
}

}  // namespace isoseam
