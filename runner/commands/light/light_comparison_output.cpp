#include "runner/commands/light/light_comparison_output.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

#include "analysis/summaries/text_layout.h"
#include "base/errors.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/pooled_cardinal_contrast.h"
#include "colorimetry/rods.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

constexpr int kMostEyes = 1'000'000;
constexpr std::array<const char*, 3> kConeKeys = {"l", "m", "s"};
constexpr std::array<const char*, 3> kConeNames = {"L", "M", "S"};

Json number_or_null(const std::optional<double>& value) {
    return value ? Json(*value) : Json(nullptr);
}

Json contrast_json(const EyeDifference& difference) {
    Json contrast;
    for (std::size_t cone = 0; cone < 3; ++cone)
        contrast[kConeKeys[cone]] = number_or_null(difference.contrast[cone]);
    return contrast;
}

Json eye_json(const Observer& observer, const EyeDifference& difference) {
    Json seen_by = Json::array();
    for (std::size_t cone = 0; cone < 3; ++cone) {
        if (difference.is_seen[cone])
            seen_by.push_back(kConeKeys[cone]);
    }
    return {{"observer", observer.description()},
            {"lacks",
             {{"l", !observer.has(Cone::l)}, {"m", !observer.has(Cone::m)}, {"s", !observer.has(Cone::s)}}},
            {"cone_contrast", contrast_json(difference)},
            {"seen_by", seen_by},
            {"alike", difference.is_alike()}};
}

// null for an eye that lacks a cone, or beside a light that excites one not at all.
Json cardinal_json(const EyeDifference& difference, const Observer& observer) {
    if (!(difference.first.vector().minCoeff() > 0.0))
        return nullptr;
    const PooledCardinalContrast contrast =
        pooled_cardinal_contrast(difference.second, difference.first, observer);
    return {{"luminance", contrast.luminance}, {"l_minus_m", contrast.l_minus_m}, {"s", contrast.s}};
}

// null where the first light gives the eye nothing, as there is no contrast then.
Json second_against_first(const EyeDifference& difference, const Observer& observer) {
    double squares = 0.0;
    bool any = false;
    bool all = true;
    for (std::size_t cone = 0; cone < 3; ++cone) {
        any = any || difference.contrast[cone];
        all = all && difference.contrast[cone];
        squares += std::pow(difference.contrast[cone].value_or(0.0), 2);
    }
    if (!any || difference.first.vector().isZero(0.0))
        return nullptr;
    return {{"cone_contrast", contrast_json(difference)},
            {"cone_contrast_length", all ? Json(std::sqrt(squares)) : Json(nullptr)},
            {"pooled_cardinal", all ? cardinal_json(difference, observer) : Json(nullptr)}};
}

Json rods_json(const Light& first, const Light& second, Degrees field) {
    const double dimmer = std::min(luminance_cd_m2(first.spectrum), luminance_cd_m2(second.spectrum));
    // An assumed spectrum can be negative where rods are most sensitive: then nothing is known of them.
    const bool known = rod_excitation(first.spectrum) >= 0.0 && rod_excitation(second.spectrum) >= 0.0;
    return {
        {"excitations", {rod_excitation(first.spectrum), rod_excitation(second.spectrum)}},
        {"scotopic_luminance_cd_m2",
         {scotopic_luminance_cd_m2(first.spectrum), scotopic_luminance_cd_m2(second.spectrum)}},
        {"contrast", known ? number_or_null(rod_contrast(second.spectrum, first.spectrum)) : Json(nullptr)},
        {"is_known", known},
        {"may_matter", rods_may_matter(field, dimmer)},
        {"matter_beyond_field_deg", kRodFreeField.degrees()},
        {"matter_below_cd_m2", kRodsCountBelowCdM2}};
}

Json population_json(const PopulationDifference& found, const ObserverParameters& mean, std::uint64_t seed) {
    Json json = {{"eyes", found.eyes},
                 {"about", Observer(mean).description()},
                 {"seed", seed},
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

std::string percent_cell(const Json& contrast, const char* if_null) {
    if (contrast.is_null())
        return fmt::format("{:>11}", if_null);
    double percent = 100.0 * contrast.get<double>();
    if (std::abs(percent) < 0.0005)
        percent = 0.0;  // no "-0.000"
    return std::abs(percent) < 1e5 ? fmt::format("{:>+11.3f}", percent) : fmt::format("{:>+11.3g}", percent);
}

void print_row(const std::string& name, const Json& eye) {
    std::string cells;
    std::vector<std::string> seen_by;
    for (std::size_t cone = 0; cone < 3; ++cone) {
        cells += percent_cell(eye["cone_contrast"][kConeKeys[cone]],
                              eye["lacks"][kConeKeys[cone]].get<bool>() ? "lacks" : "from dark");
    }
    for (const Json& cone : eye["seen_by"])
        seen_by.emplace_back(cone == "l" ? "L" : cone == "m" ? "M" : "S");
    fmt::print("  {:<28}{}   {}\n", name, cells,
               seen_by.empty() ? "alike" : fmt::format("different by {}", fmt::join(seen_by, ", ")));
}

void print_population(const Json& population) {
    const Json& seen = population["would_see"];
    fmt::print("{} of {} colour-normal eyes would see a difference: {} by L, {} by M, {} by S (seed {})\n",
               seen["any"].get<int>(), population["eyes"].get<int>(), seen["l"].get<int>(),
               seen["m"].get<int>(), seen["s"].get<int>(), population["seed"].get<std::uint64_t>());
    fmt::print("  drawn about {}; impossible draws made again: {}\n", population["about"].get<std::string>(),
               population["redrawn"].get<int>());
    fmt::print("  contrast in %              5th       50th       95th percentile\n");
    for (std::size_t cone = 0; cone < 3; ++cone) {
        const Json& spread = population["contrast"][kConeKeys[cone]];
        const auto cell = [&](const char* key) {
            return percent_cell(spread.is_null() ? spread : spread[key], "from dark");
        };
        fmt::print("  {:<20}{}{}{}\n", kConeNames[cone], cell("percentile_5"), cell("percentile_50"),
                   cell("percentile_95"));
    }
}

void print_rods(const Json& rods) {
    if (!rods["is_known"].get<bool>()) {
        fmt::print(
            "rods (CIE 1951): unknown, since an assumed spectrum is negative where they are sensitive\n");
        return;
    }
    const std::string contrast = percent_cell(rods["contrast"], "from dark");
    fmt::print("rods (CIE 1951): contrast in % {}; scotopic luminance {:.4g} and {:.4g} cd/m2\n",
               contrast.substr(contrast.find_first_not_of(' ')),
               rods["scotopic_luminance_cd_m2"][0].get<double>(),
               rods["scotopic_luminance_cd_m2"][1].get<double>());
    fmt::print("{}",
               wrapped(fmt::format(
                   "An eye with rods alone goes by this. In other eyes rods {} here: they are taken to count "
                   "in fields over {:g} deg and below about {:g} cd/m2 (common practice).",
                   rods["may_matter"].get<bool>() ? "MAY MATTER" : "are left out",
                   rods["matter_beyond_field_deg"].get<double>(), rods["matter_below_cd_m2"].get<double>())));
}

}  // namespace

void check_eyes(int eyes) {
    if (!(eyes >= 0 && eyes <= kMostEyes)) {
        throw InputError(Fault{"", 0, 0, "--eyes", fmt::format("{} eyes", eyes),
                               fmt::format("give 0 (no population) to {}", kMostEyes)});
    }
}

nlohmann::json comparison_json(const DescribedLight& first, const DescribedLight& second,
                               const ObserverParameters& eye, const ComparisonSettings& settings) {
    check(settings.threshold);
    check_eyes(settings.eyes);
    const Observer observer(eye);
    const Spectrum& first_light = first.light.spectrum;
    const Spectrum& second_light = second.light.spectrum;
    const auto difference_for = [&](const ObserverParameters& parameters) {
        const Observer other(parameters);
        return eye_json(other, difference(other, first_light, second_light, settings.threshold));
    };
    const EyeDifference found = difference(observer, first.light.lms, second.light.lms, settings.threshold);
    Json json = {{"second_against_first", second_against_first(found, observer)},
                 {"threshold",
                  {{"l", settings.threshold.l_m},
                   {"m", settings.threshold.l_m},
                   {"s", settings.threshold.s},
                   {"least_s_of_white", settings.threshold.least_s_of_white}}},
                 {"this_eye", eye_json(observer, found)},
                 {"mean_eye", difference_for(mean_eye(eye))},
                 {"spectrum_is_assumed", first.light.spectrum_is_assumed || second.light.spectrum_is_assumed},
                 {"rods", rods_json(first.light, second.light, eye.field)},
                 {"population", nullptr}};
    for (const EyeType type : kEyeTypes) {
        Json row = naming_eye(type, [&] { return difference_for(as_type(eye, type, settings.pigments)); });
        row["type"] = word_of(type);
        json["eye_types"].push_back(row);
    }
    if (settings.eyes > 0) {
        json["population"] =
            population_json(difference_for_population(mean_eye(eye), settings.eyes, settings.seed,
                                                      first_light, second_light, settings.threshold),
                            mean_eye(eye), settings.seed);
    }
    return json;
}

void print_comparison(const nlohmann::json& json) {
    fmt::print("second against first, cone contrast in %\n  {:<28}{:>11}{:>11}{:>11}\n", "", "L", "M", "S");
    const Json& mean = json["mean_eye"];
    const bool is_mean = json["this_eye"]["observer"] == mean["observer"];
    if (!is_mean)
        print_row("this eye", json["this_eye"]);
    print_row(is_mean ? "this eye, the mean one" : "mean eye, same field and age", mean);
    for (const Json& row : json["eye_types"]) {
        if (row["observer"] != mean["observer"] && row["observer"] != json["this_eye"]["observer"])
            print_row(name_of(eye_type_named(row["type"].get<std::string>())), row);
    }
    const Json& cardinal = json["second_against_first"].is_null()
                               ? json["second_against_first"]
                               : json["second_against_first"]["pooled_cardinal"];
    if (!cardinal.is_null())
        fmt::print("along pooled cardinal axes, in %: luminance {:+.4g}, L-M {:+.4g}, S {:+.4g}\n",
                   100.0 * cardinal["luminance"].get<double>(), 100.0 * cardinal["l_minus_m"].get<double>(),
                   100.0 * cardinal["s"].get<double>());
    if (json.contains("colour_difference") && !json["colour_difference"].is_null())
        fmt::print("colour difference: {:.3f} by CIEDE2000, {:.3f} by CIE 1976 L*a*b*\n",
                   json["colour_difference"]["ciede2000"].get<double>(),
                   json["colour_difference"]["cie1976"].get<double>());
    const Json& threshold = json["threshold"];
    fmt::print(
        "{}",
        wrapped(fmt::format(
            "Alike: at most {:g} % for L and M and {:g} % for S (of at least {:g} % of white's S). These "
            "are stated limits, not a claim about a person: --threshold, --threshold-s.",
            100.0 * threshold["l"].get<double>(), 100.0 * threshold["s"].get<double>(),
            100.0 * threshold["least_s_of_white"].get<double>())));
    if (!json["population"].is_null())
        print_population(json["population"]);
    print_rods(json["rods"]);
    if (json["spectrum_is_assumed"].get<bool>())
        fmt::print(
            "{}", wrapped("A light given by three numbers has an assumed spectrum. What rods and other eyes "
                          "than the one "
                          "it was made for see rests on that: with another spectrum of the same numbers they "
                          "would see something else."));
}

}  // namespace isoseam
