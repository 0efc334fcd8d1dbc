#include "analysis/summaries/shown_lights.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "support/error_text.h"
#include "support/file_bytes.h"
#include "support/published_table.h"
#include "support/shown_session.h"

using namespace isoseam;
using Catch::Matchers::Contains;

namespace {

// Recomputed by the same arithmetic in another order.
constexpr double kRounding = 1e-12;

Observer eye(double field_deg, double age_years) {
    return Observer::cie170(Degrees::from_degrees(field_deg), Years::from_years(age_years));
}

test::ShownSession interacting_session() {
    return test::ShownSession({{"LCD", test::interacting_calibration(0.1)},
                               {"narrow", test::invented_calibration({610, 530, 470, 440})}},
                              eye(2, 32));
}

}  // namespace

// tests/published/O1_lcd_cone_excitations.json: an independent program's excitations by the same primaries,
// which tests/published/O2_display_total.yaml scales by 0.00564954195661778 (its head says so).
TEST_CASE("a record's lights, for eyes of 2 and of 10 degrees, are those of an independent program") {
    constexpr double kPublishedTables = 1e-5;  // published tables here, the model there
    constexpr double kScale = 0.00564954195661778;
    const nlohmann::json oracle = test::published_json("O1_lcd_cone_excitations.json");
    SessionHeader header = test::example_header();
    const StoredText text =
        test::stored_text("O2.yaml", test::file_bytes(test::published_path("O2_display_total.yaml")));
    header.calibrations = {{text.sha256, text}};
    header.sources = {{"LCD", text.sha256, 0, 8}};
    KnownScreens screens;
    const ShownLights shown(header, screens);
    const HalfRecord black{"left", "LCD", {0, 0, 0}, {0, 0, 0}, 8, {}};
    for (const nlohmann::json& published : oracle["cases"]) {
        const Observer observer = eye(published["field_size_deg"], published["age_years"]);
        const Eigen::Vector3d dark = shown.lms(black, observer).vector();
        for (std::size_t primary = 0; primary < 3; ++primary) {
            HalfRecord half = black;
            half.linear[primary] = 0.5;
            const Eigen::Vector3d lms = shown.lms(half, observer).vector() - dark;
            for (std::size_t cone = 0; cone < 3; ++cone) {
                const double expected = published["LMS_rows_are_primary_1_2_3_trapezoid"][primary][cone];
                CHECK(lms[static_cast<Eigen::Index>(cone)] ==
                      Approx(0.5 * kScale * expected).epsilon(kPublishedTables));
            }
        }
    }
}

TEST_CASE("spectrum, tristimulus values and excitations are one light, interactions included") {
    test::ShownSession session = interacting_session();
    KnownScreens screens;
    const ShownLights shown(session.folder().header, screens);
    const Observer old = eye(10, 70);
    for (const HalfRecord& half : {session.half("left", "LCD", {0.3, 0.8, 0.6}),
                                   session.half("right", "narrow", {0.2, 0.1, 0.9, 0.4})}) {
        const Spectrum spectrum = shown.spectrum(half);
        CHECK((shown.xyz(half).vector() - tristimulus(spectrum).vector()).norm() <
              kRounding * shown.xyz(half).vector().norm());
        CHECK((shown.lms(half, old).vector() - old.excitations(spectrum).vector()).norm() <
              kRounding * shown.lms(half, old).vector().norm());
        const Eigen::Vector3d recorded(half.lms[0], half.lms[1], half.lms[2]);
        CHECK((shown.caught_by(eye(2, 32)).lms(half).vector() - recorded).norm() <
              kRounding * recorded.norm());
    }
    CHECK_FALSE(shown.display(session.half("left", "LCD", {0, 0, 0})).additive());
}

TEST_CASE("calibrations with one hash are read once, and lights do not depend on which session came first") {
    test::ShownSession session = interacting_session();
    KnownScreens screens;
    const ShownLights first(session.folder().header, screens);
    const ShownLights second(session.folder().header, screens);
    const HalfRecord half = session.half("left", "LCD", {0.3, 0.8, 0.6});
    CHECK(&first.display(half) == &second.display(half));
    CHECK(first.xyz(half).y == second.xyz(half).y);
}

TEST_CASE("what cannot be computed is said with its reason") {
    test::ShownSession session = interacting_session();
    KnownScreens screens;
    const ShownLights shown(session.folder().header, screens);
    HalfRecord half = session.half("left", "LCD", {0.3, 0.8, 0.6});
    half.linear.pop_back();
    CHECK_THAT(test::input_error_text([&] { shown.xyz(half); }),
               Contains("2 drives for a screen of 3 primaries"));
    CHECK_THAT(test::input_error_text([&] { shown.spectrum(half); }),
               Contains("2 drives for a screen of 3 primaries"));
    half.source = "beamer";
    CHECK_THAT(test::input_error_text([&] { shown.xyz(half); }),
               Contains("the session has no source 'beamer'"));

    SessionHeader missing = session.folder().header;
    missing.calibrations.clear();
    CHECK_THAT(test::input_error_text([&] { ShownLights(missing, screens); }),
               Contains("the calibration of source 'LCD' is not there"));
    const SessionHeader invented = test::example_header();
    CHECK_THAT(test::input_error_text([&] { ShownLights(invented, screens); }), Contains("lcd.yaml"));
}
