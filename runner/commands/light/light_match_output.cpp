#include "runner/commands/light/light_match_output.h"

#include <fmt/format.h>

#include <cmath>

#include "analysis/summaries/text_layout.h"
#include "runner/commands/light/light_comparison_output.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

constexpr const char* kNoDiagnosis =
    "No match says what an eye has: screening and diagnosis of colour-vision deficiency belong to a "
    "qualified person "
    "with an approved instrument.";

Json json_of(const MixtureMatch& match) {
    return {{"share", match.share},
            {"amount", match.amount},
            {"is_physical", match.is_physical()},
            {"condition_number", match.condition_number}};
}

Json json_of(const MatchLine& line) {
    return {{"slope", line.slope},
            {"intercept", line.intercept},
            {"amount_at_share_0", line.amount_at(0.0)},
            {"amount_at_share_1", line.amount_at(1.0)}};
}

template <class Value>
Json or_null(const std::optional<Value>& value) {
    if constexpr (std::is_same_v<Value, double>)
        return value ? Json(*value) : Json(nullptr);
    else
        return value ? json_of(*value) : Json(nullptr);
}

bool is_rayleigh(const NamedMatchSettings& settings) {
    return settings.match == "rayleigh";
}

Json match_of(const ObserverParameters& parameters, const LuminanceUnit& unit,
              const NamedMatchSettings& settings) {
    const Observer observer(parameters);
    Json json = {{"observer", observer.description()}, {"type", word_of(type_of(parameters))}};
    if (is_rayleigh(settings)) {
        const RayleighMatch found = rayleigh_match(observer, unit);
        json["match"] = or_null(found.match);
        json["line"] = or_null(found.line);
        return json;
    }
    const MorelandMatch found = moreland_match(observer, unit, {.desaturation = settings.desaturation});
    json["match"] = or_null(found.match);
    json["line"] = or_null(found.line);
    json["left_over"] = {{"l", or_null(found.contrast_l)}, {"m", or_null(found.contrast_m)}};
    json["full_match"] = or_null(found.full);
    if (found.full)
        json["full_match"]["desaturation"] = *found.full_desaturation;
    return json;
}

Json spread_json(const std::optional<ValueSpread>& spread) {
    return spread ? Json{{"mean", spread->mean},
                         {"standard_deviation", spread->standard_deviation},
                         {"percentile_5", spread->percentile_5},
                         {"percentile_50", spread->percentile_50},
                         {"percentile_95", spread->percentile_95}}
                  : Json(nullptr);
}

Json population_of(const ObserverParameters& mean, const LuminanceUnit& unit,
                   const NamedMatchSettings& settings) {
    const auto match = [&](const Observer& observer) {
        return is_rayleigh(settings)
                   ? rayleigh_match(observer, unit).match
                   : moreland_match(observer, unit, {.desaturation = settings.desaturation}).match;
    };
    const MatchPopulation found = match_population(mean, settings.eyes, settings.seed, match);
    return {{"eyes", found.eyes},
            {"about", Observer(mean).description()},
            {"seed", settings.seed},
            {"redrawn", found.redrawn},
            {"without_match", found.without_match},
            {"not_physical", found.not_physical},
            {"share", spread_json(found.share)},
            {"amount", spread_json(found.amount)}};
}

std::string setting_words(const Json& row) {
    if (const Json& match = row["match"]; !match.is_null()) {
        return fmt::format(
            "share {:.4f}, amount {:.4f}{}", match["share"].get<double>(), match["amount"].get<double>(),
            match["is_physical"].get<bool>() ? "" : "   NO match with real lights: share outside 0 to 1");
    }
    if (const Json& line = row["line"]; !line.is_null()) {
        const auto slope = line["slope"].get<double>();
        return fmt::format("each share; amount = {:.4f} {} {:.4f} share, from {:.4f} at 0 to {:.4f} at 1",
                           line["intercept"].get<double>(), slope < -0.00005 ? '-' : '+', std::abs(slope),
                           line["amount_at_share_0"].get<double>(), line["amount_at_share_1"].get<double>());
    }
    return "none: S cones catch next to nothing of these lights";
}

void print_full_match(const Json& row) {
    if (!row.contains("full_match") || row["match"].is_null())
        return;
    std::string left_over;
    for (const auto& [key, name] : {std::pair{"l", "L"}, {"m", "M"}}) {
        if (const Json& contrast = row["left_over"][key]; !contrast.is_null())
            left_over += fmt::format(" {} {:+.3f} %", name, 100.0 * contrast.get<double>());
    }
    fmt::print("  what this leaves between the halves:{}\n", left_over);
    if (const Json& full = row["full_match"]; !full.is_null()) {
        fmt::print("  nothing is left with {:.2f} % of 580 nm: share {:.4f}, amount {:.4f}{}\n",
                   100.0 * full["desaturation"].get<double>(), full["share"].get<double>(),
                   full["amount"].get<double>(),
                   full["is_physical"].get<bool>() ? "" : "   (not with real lights: share outside 0 to 1)");
    }
}

void print_population(const Json& population) {
    fmt::print("{} eyes (seed {}), drawn about\n  {}\n", population["eyes"].get<int>(),
               population["seed"].get<std::uint64_t>(), population["about"].get<std::string>());
    if (population["share"].is_null()) {
        fmt::print("  none has a single match\n");
        return;
    }
    for (const char* key : {"share", "amount"}) {
        const Json& spread = population[key];
        fmt::print("  {:<7} mean {:.4f}, SD {:.4f}; 5th, 50th, 95th percentile {:.4f}, {:.4f}, {:.4f}\n", key,
                   spread["mean"].get<double>(), spread["standard_deviation"].get<double>(),
                   spread["percentile_5"].get<double>(), spread["percentile_50"].get<double>(),
                   spread["percentile_95"].get<double>());
    }
    fmt::print(
        "  {} without a single match, {} with a share outside 0 to 1; impossible draws made again: {}\n",
        population["without_match"].get<int>(), population["not_physical"].get<int>(),
        population["redrawn"].get<int>());
}

}  // namespace

nlohmann::json named_match_json(const ObserverParameters& eye, const NamedMatchSettings& settings) {
    check_eyes(settings.eyes);
    const LuminanceUnit unit = standard_luminance_unit(eye.field);
    Json json = {{"match", settings.match},
                 {"luminance_unit", unit.observer.description()},
                 {"this_eye", match_of(eye, unit, settings)},
                 {"eye_types", Json::array()},
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
    for (const EyeType type : kEyeTypes)
        json["eye_types"].push_back(naming_eye(
            type, [&] { return match_of(as_type(eye, type, settings.pigments), unit, settings); }));
    if (settings.eyes > 0)
        json["population"] = population_of(mean_eye_of_type(eye), unit, settings);
    return json;
}

void print_named_match(const nlohmann::json& json) {
    if (json["match"] == "rayleigh") {
        fmt::print(
            "Rayleigh match: 545 and 670 nm in one half, 589 nm in the other, solved for L and M.\n"
            "share: of 670 nm in the mixture; amount: of 589 nm");
    } else {
        fmt::print(
            "Moreland match: 436 and 490 nm in one half, 480 with {:.3g} % of 580 nm in the other, solved "
            "for S "
            "and luminance.\nshare: of 490 nm in the mixture; amount: of the other half",
            100.0 * json["desaturation"].get<double>());
    }
    fmt::print("; both by luminance (V_F) for\n  {}\n", json["luminance_unit"].get<std::string>());
    const Json& eye = json["this_eye"];
    fmt::print("{}\n  {}\n", eye["observer"].get<std::string>(), setting_words(eye));
    print_full_match(eye);
    fmt::print("the same eye as\n");
    for (const Json& row : json["eye_types"]) {
        if (row["observer"] != eye["observer"])
            fmt::print("  {:<27} {}\n", name_of(eye_type_named(row["type"].get<std::string>())),
                       setting_words(row));
    }
    if (!json["population"].is_null())
        print_population(json["population"]);
    fmt::print("{}", wrapped(json["note"].get<std::string>()));
}

}  // namespace isoseam
