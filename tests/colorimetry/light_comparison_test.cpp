#include "colorimetry/light_comparison.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "colorimetry/colour_space.h"
#include "colorimetry/eye_types.h"
#include "colorimetry/named_matches.h"
#include "colorimetry/population.h"
#include "support/error_text.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr double kRounding = 1e-12;

const Observer& standard_eye() {
    static const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    return observer;
}

struct TwoLights {
    Spectrum first;
    Spectrum second;
};

// The standard eye's Rayleigh match: the test first, then the mixture.
TwoLights rayleigh() {
    const LuminanceUnit unit = standard_luminance_unit(Degrees::from_degrees(2.0));
    const MixtureMatch match = *rayleigh_match(standard_eye(), unit).match;
    return {.first = unit.monochromatic(589.0).scaled(match.amount),
            .second = unit.monochromatic(545.0).scaled(1.0 - match.share) +
                      unit.monochromatic(670.0).scaled(match.share)};
}

EyeDifference for_type(EyeType type, const TwoLights& lights) {
    return difference(Observer(as_type({}, type)), lights.first, lights.second, {});
}

// Equal energy, and a light that excites the standard eye alike but has three narrow bands added.
TwoLights metamers() {
    Spectrum banded = Spectrum::equal_energy().scaled(0.5);
    for (const double nm : {450.0, 540.0, 610.0}) {
        banded = banded + Spectrum::from_line(nm, 40.0);
    }
    const Spectrum white = Spectrum::equal_energy();
    return {.first = white,
            .second = nearest_spectrum(banded, standard_eye().excitations(white), standard_eye())};
}

}  // namespace

TEST_CASE(
    "a Rayleigh match is one for the eye that made it and for eyes that lack a cone, and no other eye") {
    const TwoLights lights = rayleigh();
    const EyeDifference standard = for_type(EyeType::trichromat, lights);
    CHECK(std::abs(*standard.contrast[0]) <= kRounding);
    CHECK(std::abs(*standard.contrast[1]) <= kRounding);
    // S catches so little here that its contrast, though large, is seen by nobody (common practice, no
    // source).
    CHECK(*standard.contrast[2] > 1.0);
    CHECK(standard.is_alike());
    for (const EyeType type : {EyeType::protanope, EyeType::deuteranope, EyeType::tritanope}) {
        CHECK(for_type(type, lights).is_alike());
    }
    CHECK_FALSE(for_type(EyeType::protanope, lights).contrast[0]);
    CHECK(for_type(EyeType::protanope, lights).contrast[1]);
    // An anomalous eye still has one of the two cones that the match was made for: only the other tells the
    // lights apart.
    const EyeDifference protanomalous = for_type(EyeType::protanomalous, lights);
    CHECK(protanomalous.is_seen == std::array{true, false, false});
    CHECK(for_type(EyeType::deuteranomalous, lights).is_seen == std::array{false, true, false});
}

TEST_CASE("a difference is seen from its threshold on") {
    const Spectrum white = Spectrum::equal_energy();
    const DifferenceThreshold threshold{.l_m = 0.02, .s = 0.06};
    const auto seen = [&](double factor) {
        return difference(standard_eye(), white, white.scaled(factor), threshold).is_seen;
    };
    CHECK(seen(1.0) == std::array{false, false, false});
    CHECK(seen(1.0199) == std::array{false, false, false});
    CHECK(seen(0.979) == std::array{true, true, false});
    CHECK(seen(1.061) == std::array{true, true, true});
}

TEST_CASE("where the first light gives a cone nothing there is no contrast, but a difference") {
    const EyeDifference from_black = difference(standard_eye(), Spectrum(), Spectrum::equal_energy(), {});
    CHECK_FALSE(from_black.contrast[0]);
    CHECK(from_black.is_seen == std::array{true, true, true});
    const EyeDifference to_black = difference(standard_eye(), Spectrum::equal_energy(), Spectrum(), {});
    CHECK(*to_black.contrast[2] == -1.0);
    CHECK(difference(standard_eye(), Spectrum(), Spectrum(), {}).is_alike());
    // Neither gives S anything beyond 615 nm.
    const EyeDifference long_wave =
        difference(standard_eye(), Spectrum::from_line(630.0, 1.0), Spectrum::from_line(650.0, 1.0), {});
    CHECK(*long_wave.contrast[2] == 0.0);
    CHECK_FALSE(long_wave.is_seen[2]);
}

TEST_CASE(
    "metamers of the standard eye are told apart by some of a thousand eyes, the same for the same seed") {
    const TwoLights lights = metamers();
    CHECK(difference(standard_eye(), lights.first, lights.second, {}).is_alike());
    const PopulationDifference found =
        difference_for_population({}, 1000, 1, lights.first, lights.second, {});
    CHECK(found.eyes == 1000);
    CHECK(found.seen_by_any > 100);
    CHECK(found.seen_by_any < 1000);
    for (std::size_t cone = 0; cone < 3; ++cone) {
        CHECK(found.seen[cone] <= found.seen_by_any);
        REQUIRE(found.contrast[cone]);
        CHECK(found.contrast[cone]->percentile_5 < found.contrast[cone]->percentile_95);
    }
    const PopulationDifference again =
        difference_for_population({}, 1000, 1, lights.first, lights.second, {});
    CHECK(again.seen_by_any == found.seen_by_any);
    CHECK(again.contrast[0]->percentile_95 == found.contrast[0]->percentile_95);
    // Each eye counts as it would alone.
    int seen_by_l = 0;
    for (std::uint64_t eye = 0; eye < 1000; ++eye) {
        seen_by_l +=
            difference(Observer(sampled_eye({}, 1, eye).eye), lights.first, lights.second, {}).is_seen[0];
    }
    CHECK(found.seen[0] == seen_by_l);
    // A higher threshold is passed by fewer eyes.
    CHECK(difference_for_population({}, 1000, 1, lights.first, lights.second, {.l_m = 0.03, .s = 0.2})
              .seen_by_any < found.seen_by_any);
}

TEST_CASE("identical lights are told apart by nobody, and a contrast that some eyes lack has no spread") {
    const Spectrum white = Spectrum::equal_energy();
    const PopulationDifference alike = difference_for_population({}, 50, 3, white, white, {});
    CHECK(alike.seen_by_any == 0);
    CHECK(alike.contrast[1]->percentile_95 == 0.0);
    const PopulationDifference from_black = difference_for_population({}, 50, 3, Spectrum(), white, {});
    CHECK(from_black.seen_by_any == 50);
    CHECK_FALSE(from_black.contrast[0]);
}

TEST_CASE("thresholds that are none are refused, all at once") {
    const std::string text =
        input_error_text([] { check({.l_m = 0.0, .s = std::nan(""), .least_s_of_white = -1.0}); });
    CHECK_THAT(text, Catch::Contains("threshold:") && Catch::Contains("threshold-s:") &&
                         Catch::Contains("least S:") && Catch::Contains("more than 0 %"));
}

TEST_CASE("a contrast too large for a number is none, and still a difference") {
    const Spectrum faint = Spectrum::from_line(614.0, 1e-300);
    const Spectrum strong = Spectrum::from_line(580.0, 1e300);
    const EyeDifference found = difference(standard_eye(), faint, strong, {});
    CHECK_FALSE(found.contrast[0]);
    CHECK(found.is_seen[0]);
    CHECK_FALSE(difference_for_population({}, 5, 1, faint, strong, {}).contrast[0]);
}
