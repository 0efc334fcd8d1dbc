// Against numbers from an independent model in another language (tests/published/O3*, O4*: each states how it
// was computed).
#include "colorimetry/named_matches.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "colorimetry/eye_types.h"
#include "support/error_text.h"
#include "support/published_table.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// The oracles' own tolerances. Linear algebra on the same fundamentals; the published 2 degree table in place
// of the model; anything with a shifted pigment, where two ways to interpolate absorbance differ by up
// to 1.5e-4.
constexpr double kSameFundamentals = 1e-9;
constexpr double kPublishedTable = 1e-6;
constexpr double kShiftedPigment = 2e-4;

// So small a shift changes nothing, but makes the computed eye stand in for the published table.
constexpr double kComputedNm = 1e-13;

ObserverParameters computed_eye() {
    ObserverParameters parameters;
    parameters.shift_s_nm = kComputedNm;
    return parameters;
}

// The oracles' unit: the published weights on the computed fundamentals.
const Eigen::Vector2d kPublishedWeights{0.68990272, 0.34832189};
LuminanceUnit unit_of_the_oracles() {
    return {.observer = Observer(computed_eye()), .weights = kPublishedWeights};
}

ObserverParameters eye_of_rayleigh_case(const nlohmann::json& parameters) {
    ObserverParameters eye = computed_eye();
    eye.age = Years::from_years(parameters["age"].get<double>());
    if (parameters.contains("dL")) {
        eye.density_l_percent = 100.0 * (parameters["dL"].get<double>() / 0.5 - 1.0);
    }
    eye.shift_l_nm = parameters.value("sL", 0.0);
    eye.shift_m_nm = parameters.value("sM", 0.0);
    if (parameters.contains("L_template")) {
        REQUIRE(parameters["L_template"][0] == "M");
        eye = as_type(eye, EyeType::protanomalous, {.from_m_nm = parameters["L_template"][1].get<double>()});
    }
    return eye;
}

double share_of(const Observer& observer) {
    const std::optional<MixtureMatch> match = rayleigh_match(observer, unit_of_the_oracles()).match;
    REQUIRE(match);
    return match->share;
}

}  // namespace

TEST_CASE("the Rayleigh matches of seven eyes are those of an independent model") {
    const nlohmann::json oracle = published_json("O3_rayleigh_match.json");
    REQUIRE(oracle["cases"].size() == 7);
    for (const nlohmann::json& expected : oracle["cases"]) {
        CAPTURE(expected["case"].get<std::string>());
        const nlohmann::json& parameters = expected["parameters"];
        const bool shifted =
            parameters.contains("sL") || parameters.contains("sM") || parameters.contains("L_template");
        const RayleighMatch found =
            rayleigh_match(Observer(eye_of_rayleigh_case(parameters)), unit_of_the_oracles());
        REQUIRE(found.match);
        CHECK_FALSE(found.line);
        CHECK(found.match->is_physical());
        const double tolerance = shifted ? kShiftedPigment : kSameFundamentals;
        CHECK(std::abs(found.match->share - expected["r"].get<double>()) <= tolerance);
        CHECK(std::abs(found.match->amount - expected["y"].get<double>()) <= tolerance);
    }
}

TEST_CASE("with the published table as eye and as unit the Rayleigh match stays within its rounding") {
    const nlohmann::json expected = published_json("O3_rayleigh_match.json")["cases"][0];
    const RayleighMatch found =
        rayleigh_match(Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0)),
                       standard_luminance_unit(Degrees::from_degrees(2.0)));
    REQUIRE(found.match);
    CHECK(std::abs(found.match->share - expected["r"].get<double>()) <= kPublishedTable);
    CHECK(std::abs(found.match->amount - 1.0) <= kPublishedTable);
}

TEST_CASE("a dichromat accepts a line of Rayleigh matches, and so does a monochromat") {
    const nlohmann::json lines =
        published_json("O3_rayleigh_match.json")["dichromat_lines_y=slope*r+intercept"];
    for (const auto& [number, types] :
         {std::pair{0, std::array{EyeType::protanope, EyeType::m_cone_monochromat}},
          std::pair{1, std::array{EyeType::deuteranope, EyeType::l_cone_monochromat}}}) {
        const nlohmann::json& expected = lines[static_cast<std::size_t>(number)];
        for (const EyeType type : types) {
            CAPTURE(name_of(type));
            const RayleighMatch found =
                rayleigh_match(Observer(as_type(computed_eye(), type)), unit_of_the_oracles());
            REQUIRE(found.line);
            CHECK_FALSE(found.match);
            CHECK(std::abs(found.line->slope - expected["slope"].get<double>()) <= kSameFundamentals);
            CHECK(std::abs(found.line->intercept - expected["intercept"].get<double>()) <= kSameFundamentals);
            CHECK(std::abs(found.line->amount_at(0.0) - expected["y_at_r=0"].get<double>()) <=
                  kSameFundamentals);
            CHECK(std::abs(found.line->amount_at(1.0) - expected["y_at_r=1"].get<double>()) <=
                  kSameFundamentals);
        }
    }
    const RayleighMatch s_alone =
        rayleigh_match(Observer(as_type(computed_eye(), EyeType::s_cone_monochromat)), unit_of_the_oracles());
    CHECK_FALSE(s_alone.match);
    CHECK_FALSE(s_alone.line);
}

TEST_CASE("anomalous eyes mix to the two sides of the normal Rayleigh match") {
    // Common practice, no source: a protanomalous eye wants more of the long-wave light, a deuteranomalous
    // one more of the short-wave light.
    const double normal = share_of(Observer(computed_eye()));
    CHECK(share_of(Observer(as_type(computed_eye(), EyeType::protanomalous))) > normal + 0.1);
    CHECK(share_of(Observer(as_type(computed_eye(), EyeType::deuteranomalous))) < normal - 0.1);
}

TEST_CASE("an eye with the same pigment in L and in M accepts a line, as nothing fixes its match") {
    const RayleighMatch found = rayleigh_match(
        Observer(as_type(computed_eye(), EyeType::protanomalous, {.from_m_nm = 0.0})), unit_of_the_oracles());
    CHECK_FALSE(found.match);
    REQUIRE(found.line);
    const RayleighMatch protanope =
        rayleigh_match(Observer(as_type(computed_eye(), EyeType::protanope)), unit_of_the_oracles());
    CHECK(std::abs(found.line->slope - protanope.line->slope) <= kSameFundamentals);
}

TEST_CASE("the Moreland matches of all eyes of the independent model, by S and luminance and in full") {
    const nlohmann::json oracle = published_json("O4_moreland_match.json");
    REQUIRE(oracle["cases"].size() >= 3);
    for (const nlohmann::json& expected : oracle["cases"]) {
        CAPTURE(expected["case"].get<std::string>());
        const nlohmann::json& parameters = expected["parameters"];
        ObserverParameters eye = computed_eye();
        eye.age = Years::from_years(parameters["age"].get<double>());
        if (parameters.contains("macular_peak")) {
            eye.macular_percent = 100.0 * (parameters["macular_peak"].get<double>() / 0.35 - 1.0);
        }
        const Observer observer(eye);
        for (const auto& [key, desaturation] :
             {std::pair{"equate_luminosity_and_S", 0.5},
              std::pair{"580_fraction_0.074_equate_luminosity_and_S", 0.074}}) {
            CAPTURE(key);
            const MorelandMatch found =
                moreland_match(observer, unit_of_the_oracles(),
                               {.desaturation = desaturation, .luminance_weights = kPublishedWeights});
            REQUIRE(found.match);
            const nlohmann::json& numbers = expected[key];
            CHECK(found.match->share == Approx(numbers["r"].get<double>()).epsilon(kSameFundamentals));
            CHECK(found.match->amount == Approx(numbers["y"].get<double>()).epsilon(kSameFundamentals));
            CHECK(1.0 + *found.contrast_l ==
                  Approx(numbers["L_mixture/L_test"].get<double>()).epsilon(kSameFundamentals));
            CHECK(1.0 + *found.contrast_m ==
                  Approx(numbers["M_mixture/M_test"].get<double>()).epsilon(kSameFundamentals));
            CHECK(found.match->is_physical() == numbers["physical"].get<bool>());
            REQUIRE(found.full);
            const nlohmann::json& full = expected["full_match_with_free_580_fraction"];
            CHECK(found.full->share == Approx(full["r"].get<double>()).epsilon(kSameFundamentals));
            CHECK(found.full->amount == Approx(full["y"].get<double>()).epsilon(kSameFundamentals));
            CHECK(*found.full_desaturation ==
                  Approx(full["fraction_580"].get<double>()).epsilon(kSameFundamentals));
        }
    }
}

TEST_CASE("a Moreland match leaves nothing to L and M where 580 nm has the share of the full match") {
    const Observer observer(computed_eye());
    const LuminanceUnit unit = standard_luminance_unit(Degrees::from_degrees(2.0));
    const double full_share = *moreland_match(observer, unit).full_desaturation;
    const MorelandMatch found = moreland_match(observer, unit, {.desaturation = full_share});
    CHECK(std::abs(*found.contrast_l) <= kSameFundamentals);
    CHECK(std::abs(*found.contrast_m) <= kSameFundamentals);
    CHECK(found.match->share == Approx(found.full->share).epsilon(kSameFundamentals));
}

TEST_CASE("eyes without L or M still make a Moreland match, eyes without S or with S alone accept a line") {
    const LuminanceUnit unit = standard_luminance_unit(Degrees::from_degrees(2.0));
    for (const EyeType type : {EyeType::protanope, EyeType::deuteranope}) {
        const MorelandMatch found = moreland_match(Observer(as_type({}, type)), unit);
        REQUIRE(found.match);
        CHECK_FALSE(found.full);
        CHECK(found.contrast_l.has_value() == (type == EyeType::deuteranope));
        // Both of its cones are equated, so nothing is left.
        CHECK(std::abs(found.contrast_l.value_or(0.0)) + std::abs(found.contrast_m.value_or(0.0)) <=
              kSameFundamentals);
    }
    for (const EyeType type : {EyeType::tritanope, EyeType::l_cone_monochromat, EyeType::m_cone_monochromat,
                               EyeType::s_cone_monochromat}) {
        const MorelandMatch found = moreland_match(Observer(as_type({}, type)), unit);
        CHECK(found.line);
        CHECK_FALSE(found.match);
    }
    CHECK_THAT(input_error_text([&] { moreland_match(Observer({}), unit, {.desaturation = 1.0}); }),
               Catch::Contains("100 %") && Catch::Contains("0 % to less than 100 %"));
}

TEST_CASE("many eyes spread about the mean eye's match, the same for the same seed") {
    const LuminanceUnit unit = standard_luminance_unit(Degrees::from_degrees(2.0));
    const auto match = [&](const Observer& observer) { return rayleigh_match(observer, unit).match; };
    const MatchPopulation found = match_population({}, 400, 7, match);
    REQUIRE(found.share);
    CHECK(found.eyes == 400);
    CHECK(found.without_match == 0);
    const double mean_eye_share = match(Observer({}))->share;
    // Standard error of a median of 400, with room for the skew of the share.
    CHECK(std::abs(found.share->percentile_50 - mean_eye_share) < 0.2 * found.share->standard_deviation);
    CHECK(found.share->percentile_5 < found.share->percentile_50);
    CHECK(found.share->percentile_50 < found.share->percentile_95);
    CHECK(match_population({}, 400, 7, match).share->mean == found.share->mean);
    CHECK(match_population({}, 400, 8, match).share->mean != found.share->mean);
    // Without a match there is no spread.
    const MatchPopulation protanopes = match_population(as_type({}, EyeType::protanope), 10, 7, match);
    CHECK(protanopes.without_match == 10);
    CHECK_FALSE(protanopes.share);
}
